/** The number found on a tree: by minus and plus, or by large digits; nothing until it is measured. */

import type { Point } from "../../core/brief-contracts";
import { WALK, numberWords } from "../../core/check-walk-wording";
import { typedMeasure } from "../../core/typed-measure";
import { fill, h } from "../../ui/dom";
import { numberPad } from "../../ui/number-pad";

export interface NumberAnswer {
  box: HTMLElement;
  set(value: number | null): void;
}

/** Shares are typed in percent. */
const PERCENT = 100;
const STEPS: Partial<Record<Point["kind"], number>> = { ratio: 0.05, angle: 5 };
const WHOLE: ReadonlySet<Point["kind"]> = new Set(["count", "angle"]);
/** What floats leave behind a sum of steps. */
const PLACES = 1e6;

/** Return the buttons; `changed` hears the number in the point's unit, or null where it is taken back. */
export function numberAnswer(point: Point, sentence: string, changed: (value: number | null) => void): NumberAnswer {
  const { kind, low, high } = point;
  const step = STEPS[kind] ?? 1;
  let now: number | null = null;
  let isTyping = false;
  const by = (more: number): void => {
    // the first touch begins at a limit, from which the number found is rarely far
    const next = now === null ? (low ?? high ?? 0) : now + more;
    changed(Math.max(0, Math.round(next * PLACES) / PLACES));
  };
  const shown = h("button", { type: "button", class: "walk-number", "aria-expanded": "false", on: { click: () => toggle() } });
  const padWords = { label: WALK.pad, delete: WALK.padDelete, ...(WHOLE.has(kind) ? {} : { point: WALK.padPoint }) };
  const pad = numberPad(padWords, (text) => {
    if (slot.childElementCount === 0) return;
    const value = typedMeasure(text);
    isTyping = true;
    changed(value === null ? null : kind === "ratio" ? value / PERCENT : value);
    isTyping = false;
  });
  const slot = h("div", { class: "walk-pad" });
  const toggle = (): void => {
    const isOpen = slot.childElementCount > 0;
    fill(slot);
    pad.clear();
    if (!isOpen) fill(slot, pad.box);
    shown.setAttribute("aria-expanded", String(!isOpen));
    if (!isOpen) slot.scrollIntoView({ block: "nearest" });
  };
  const button = (text: string, name: string, more: number): HTMLElement =>
    h("button", { type: "button", class: "walk-step", "aria-label": name, on: { click: () => by(more) } }, text);
  const line = h("div", { class: "walk-number-line" }, button("−", WALK.less(sentence), -step), shown, button("+", WALK.more(sentence), step));
  return {
    box: h("div", { class: "walk-answer" }, line, slot),
    set(value) {
      if (value === null && !isTyping && slot.childElementCount > 0) toggle(); // another tree
      now = value;
      const words = value === null ? WALK.notMeasured : numberWords(point, value);
      shown.textContent = words;
      shown.setAttribute("aria-label", `${words}. ${WALK.number(sentence)}`);
      shown.dataset["empty"] = String(value === null);
    },
  };
}
