/** People of crews by spans of days: all spans are saved together. */

import type { Strength } from "../../core/forecast-contracts";
import { GOES_BY } from "../../core/forecast-wording";
import { laidOver, oddSpans, type SpanFault } from "../../core/crew-spans";
import { SHELL } from "../../core/wording";
import { sentence } from "../../data/request";
import { fill, h } from "../../ui/dom";
import { choiceField, dayField, textField } from "../../ui/field";
import { crewName, type Desk } from "./desk";
import { formFrame } from "./form-frame";
import type { FormPart } from "./goes-by";

const WORDS = GOES_BY.people;
const FAULT: Record<SpanFault, string> = { days: WORDS.needsDays, people: WORDS.needsPeople };

interface Line {
  box: HTMLElement;
  value(): Strength;
  complain(fault: SpanFault | null): void;
}

export interface PeopleForm extends FormPart {
  /** Add a span of today in which a crew has nobody; it is not saved yet. */
  sayAway(crew: string): Promise<void>;
}

/** Return the form. */
export function peopleForm({ context, api }: Desk, saved: () => void): PeopleForm {
  const { farm } = context;
  let lines: Line[] = [];
  let reading: Promise<boolean> | null = null;
  const now = h("p", {});
  const list = h("div", {});
  // all spans are saved together: none is added before those that are there are known, or saving would take them away
  const more = h("button", { type: "button", disabled: true, on: { click: () => add({ crew_id: farm.crews[0]?.id ?? "", first: farm.today, last: null, people: NaN }).focus() } }, WORDS.add);
  const add = ({ crew_id, first, last, people }: Strength): HTMLElement => {
    const at = lines.length + 1;
    const crew = choiceField(WORDS.crew, farm.crews.map(({ id, name }) => ({ value: id, label: name })), crew_id);
    const [from, to] = [dayField(WORDS.first, first), dayField(WORDS.last, last ?? "", {}, WORDS.untilDone)];
    const count = textField(WORDS.people, Number.isNaN(people) ? "" : String(people), { inputmode: "numeric", maxlength: 4 });
    const remove = (): void => {
      lines = lines.filter((other) => other !== line);
      line.box.remove();
      more.focus();
    };
    const line: Line = {
      box: h(
        "fieldset",
        { class: "forecast-set forecast-line" },
        h("legend", {}, WORDS.span(at)),
        crew.box,
        from.box,
        to.box,
        count.box,
        h("button", { type: "button", "aria-label": WORDS.removeSpan(at), on: { click: remove } }, GOES_BY.remove),
      ),
      value: () => ({
        crew_id: crew.input.value,
        first: from.input.value,
        // a day that is typed in part reads as none, and would stay for ever
        last: to.input.value === "" && !to.input.validity.badInput ? null : to.input.value,
        people: count.input.value.trim() === "" ? NaN : Number(count.input.value),
      }),
      complain(fault) {
        count.complain(fault === "people" ? FAULT.people : "");
        to.complain(fault === "days" ? FAULT.days : "");
      },
    };
    lines = [...lines, line];
    list.append(line.box);
    return crew.input;
  };
  const begin = (strengths: readonly Strength[]): void => {
    lines = [];
    fill(list);
    for (const one of strengths) add(one);
  };
  const frame = formFrame(WORDS.title, async () => {
    if (!(await ready())) return false;
    const typed = lines.map((line) => line.value());
    const faults = oddSpans(typed);
    for (const [at, line] of lines.entries()) line.complain(faults[at] ?? null);
    if (faults.some((fault) => fault !== null)) {
      frame.said.say(GOES_BY.mend, "bad");
      return false;
    }
    begin((await api.saveStrengths(farm.id, laidOver(typed))).strengths);
    saved();
    return true;
  });
  const read = async (): Promise<boolean> => {
    try {
      begin((await api.strengths(farm.id)).strengths);
      more.disabled = false;
      return true;
    } catch (error) {
      frame.said.say(sentence(error, SHELL.noAnswer), "bad");
      reading = null;
      return false;
    }
  };
  /** Read the spans that are there, once; tell whether they are known. */
  const ready = (): Promise<boolean> => (reading ??= read());
  frame.box.addEventListener("toggle", () => {
    if (frame.box.open) void ready();
  });
  fill(frame.fields, h("p", {}, WORDS.lead), now, ...(farm.crews.length === 0 ? [h("p", {}, WORDS.noCrews)] : [list, more]));
  return {
    box: frame.box,
    draw({ forecast }) {
      const told = forecast.crews.map(({ crew_id, people }) => WORDS.crewNow(crewName(context, crew_id), people)).sort((a, b) => a.localeCompare(b));
      now.textContent = told.length === 0 ? WORDS.nobodyNow : WORDS.now(told.join(", "));
    },
    async sayAway(crew) {
      if (!(await ready())) return;
      add({ crew_id: crew, first: farm.today, last: farm.today, people: 0 }).focus();
      frame.said.say(WORDS.away(crewName(context, crew)));
    },
  };
}
