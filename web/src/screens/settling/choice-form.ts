/** The choice for one overlap: one crew, both with a split, or nobody; and a note. */

import { splitLimits, type Choice, type Overlap } from "../../core/matters";
import { SETTLING } from "../../core/settling-wording";
import { h } from "../../ui/dom";
import { radioGroup, textField } from "../../ui/field";
import { stepper } from "../../ui/stepper";

export interface ChoiceForm {
  box: HTMLElement;
  choice(): Choice | null;
  note(): string;
  touched(): boolean;
}

/** Return the crews that have parts to be given out, the one that began nearer to the first end first. */
function inRowOrder(overlap: Overlap): string[] {
  const begins = (crew: string): number =>
    Math.min(...overlap.marks.filter((mark) => mark.crew_id === crew).map((mark) => mark.first));
  return overlap.crews.map(({ id }) => id).sort((a, b) => begins(a) - begins(b));
}

function splitForm(overlap: Overlap, changed: () => void): { box: HTMLElement; choice(): Choice } | null {
  const limits = splitLimits(overlap);
  if (limits === null) return null;
  let [firstCrewId = "", secondCrewId = ""] = inRowOrder(overlap);
  const named = (id: string): string => overlap.crews.find((crew) => crew.id === id)?.name ?? "";
  const lines = h("p", { class: "split-lines", role: "status" });
  const say = (): void => {
    const from = at.value();
    lines.textContent = `${SETTLING.splitFirst(from)}: ${named(firstCrewId)}. ${SETTLING.splitSecond(from)}: ${named(secondCrewId)}.`;
    changed();
  };
  const at = stepper(SETTLING.splitAt, { less: SETTLING.oneLess, more: SETTLING.oneMore }, () => say());
  at.set(Math.round((limits.first + limits.last) / 2), limits.first, limits.last);
  const turn = (): void => {
    // with three crews every pair comes round
    const ids = overlap.crews.map(({ id }) => id);
    const pairs = ids.flatMap((a) => ids.filter((b) => b !== a).map((b) => [a, b] as const));
    const now = pairs.findIndex(([a, b]) => a === firstCrewId && b === secondCrewId);
    const next = pairs[(now + 1) % pairs.length];
    if (next !== undefined) [firstCrewId, secondCrewId] = next;
    say();
  };
  const box = h(
    "div",
    { class: "split-form" },
    at.box,
    lines,
    h("button", { type: "button", on: { click: turn } }, SETTLING.swap),
  );
  say();
  return { box, choice: () => ({ how: "split", firstCrewId, secondCrewId, from: at.value() }) };
}

/** Return the form; `changed` hears every change, so that the picture follows. */
export function choiceForm(overlap: Overlap, changed: (choice: Choice | null) => void): ChoiceForm {
  let picked = "";
  const tell = (): void => changed(choice());
  const split = splitForm(overlap, () => {
    if (picked === "split") tell();
  });
  const choices = [
    ...overlap.crews.map(({ id, name }) => ({ value: `crew ${id}`, label: SETTLING.all(name) })),
    ...(split === null ? [] : [{ value: "split", label: SETTLING.split }]),
    { value: "nobody", label: SETTLING.nobody },
  ];
  const nobody = h("p", { class: "field-hint", hidden: true }, SETTLING.nobodyNote);
  const radios = radioGroup(SETTLING.choose, choices, "", (value) => {
    picked = value;
    if (split !== null) split.box.hidden = value !== "split";
    nobody.hidden = value !== "nobody";
    tell();
  });
  const choice = (): Choice | null => {
    if (picked === "nobody") return { how: "nobody" };
    if (picked === "split") return split?.choice() ?? null;
    return picked === "" ? null : { how: "crew", crewId: picked.replace("crew ", "") };
  };
  const note = textField(SETTLING.note, "", { maxlength: 500 }, SETTLING.noteHint);
  if (split !== null) split.box.hidden = true;
  return {
    box: h("div", { class: "choice-form" }, radios.box, split?.box ?? null, nobody, note.box),
    choice,
    note: () => note.input.value,
    touched: () => picked !== "" || note.input.value.trim() !== "",
  };
}
