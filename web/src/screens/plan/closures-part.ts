/** Closing a block for a time, from the board. */

import { CLOSURE } from "../../core/closure-wording";
import { momentAt, wallTime } from "../../core/local-time";
import { momentText } from "../../core/numbers";
import { SHELL } from "../../core/wording";
import type { Closure, PlanApi } from "../../data/plan-api";
import { sentence } from "../../data/request";
import { fill, h } from "../../ui/dom";
import { textField } from "../../ui/field";
import { notice } from "../../ui/notice";

export interface ClosuresTools {
  api: Pick<PlanApi, "closures" | "close" | "endClosure">;
  timeZone: string;
  code: string;
  /** Something was closed or opened: what the board shows is not so any more. */
  changed(words: string): void;
}

/** Return what is closed and planned of a block, read when it is unfolded. */
export function closuresPart(block: string, { api, timeZone, code, changed }: ClosuresTools): HTMLElement {
  const standing = h("ul", { class: "plain-list" });
  const said = notice();
  const moment = (label: string, at: number | null) => {
    const value = at === null ? "" : wallTime(timeZone, at);
    const field = textField(label, value, { type: "datetime-local" });
    const words = h("p", { class: "field-hint", "aria-live": "polite" });
    const say = (): void => {
      const read = momentAt(timeZone, field.input.value);
      words.textContent = read === null ? "" : momentText(read, timeZone);
    };
    field.input.addEventListener("input", say);
    field.input.after(words);
    say();
    return field;
  };
  const from = moment(CLOSURE.from, Date.now());
  const until = moment(CLOSURE.until, null);
  const why = textField(CLOSURE.why, "", { maxlength: 200 }, CLOSURE.whyHint);

  const attempt = async (run: () => Promise<string>): Promise<void> => {
    try {
      changed(await run());
    } catch (error) {
      said.say(sentence(error, SHELL.noAnswer), "bad");
    }
  };
  const end = (one: Closure): Promise<void> =>
    attempt(async () => {
      // one that has not begun is taken back wholly
      const ends = Math.max(Date.now(), Date.parse(one.starts_at));
      await api.endClosure(block, one.id, new Date(ends).toISOString());
      return CLOSURE.opened(code);
    });
  const line = (one: Closure): HTMLElement => {
    const span = CLOSURE.span(momentText(one.starts_at, timeZone), momentText(one.ends_at, timeZone), one.reason);
    const word = Date.parse(one.starts_at) <= Date.now() ? CLOSURE.openNow : CLOSURE.takeBack;
    return h("li", { class: "closure" }, h("span", {}, span), h("button", { type: "button", "aria-label": CLOSURE.openLabel(word, span), on: { click: () => void end(one) } }, word));
  };
  async function read(): Promise<void> {
    try {
      const now = Date.now();
      const kept = (await api.closures(block)).closures.filter(({ ends_at }) => Date.parse(ends_at) > now);
      fill(standing, ...(kept.length === 0 ? [h("li", {}, CLOSURE.none)] : kept.map(line)));
    } catch (error) {
      said.say(sentence(error, SHELL.noAnswer), "bad");
    }
  }
  function submit(event: Event): void {
    event.preventDefault();
    const [starts, ends] = [from, until].map(({ input }) => momentAt(timeZone, input.value));
    from.complain(starts == null ? CLOSURE.missing : "");
    until.complain(ends == null ? CLOSURE.missing : "");
    why.complain(why.input.value.trim() === "" ? CLOSURE.noReason : "");
    const wrong = [from, until, why].find(({ input }) => input.getAttribute("aria-invalid") === "true");
    if (wrong !== undefined || starts == null || ends == null) return void wrong?.input.focus();
    void attempt(async () => {
      await api.close(block, { starts_at: starts, ends_at: ends, reason: why.input.value.trim() });
      return CLOSURE.closed(code, momentText(ends, timeZone));
    });
  }
  const form = h(
    "form",
    { class: "plan-terms", novalidate: true, on: { submit } },
    from.box,
    until.box,
    why.box,
    h("button", { type: "submit" }, CLOSURE.close),
    said.box,
  );
  const box = h("details", {}, h("summary", {}, CLOSURE.title), h("p", {}, CLOSURE.what), standing, form);
  box.addEventListener("toggle", () => {
    if (box.open) void read();
  });
  return box;
}
