/** A number with a large minus, a large plus and a field to type in: whole, or in equal parts of one. */

import { typeable, typedNumber } from "../core/numbers";
import { held } from "../core/strip";
import { h } from "./dom";
import { fieldId } from "./field";

export interface Stepper {
  box: HTMLElement;
  value(): number;
  /** Put the keyboard on the larger-by-one button: a field would call up the tablet's own keyboard. */
  focus(): void;
  setLabel(label: string): void;
  /** Set value and limits without telling anybody. */
  set(value: number, first: number, last: number): void;
}

/** Return a stepper; `changed` hears every new value, and a step is one part of `parts` of one. */
export function stepper(
  label: string,
  words: { less: string; more: string },
  changed: (value: number) => void,
  parts = 1,
): Stepper {
  const id = fieldId();
  const limits = { first: 1, last: 1 };
  let now = 1;
  const mode = parts === 1 ? "numeric" : "decimal";
  const input = h("input", { id, type: "text", inputmode: mode, class: "stepper-value", autocomplete: "off" });
  const rounded = (value: number): number => Math.round(held(value, limits.first, limits.last) * parts) / parts;
  const take = (value: number): void => {
    now = rounded(value);
    input.value = typeable(now);
    changed(now);
  };
  input.addEventListener("change", () => take(typedNumber(input.value) ?? now));
  input.addEventListener("focus", () => input.select());
  const button = (text: string, name: string, by: number): HTMLElement =>
    h("button", { type: "button", class: "step", "aria-label": name, on: { click: () => take(now + by) } }, text);
  const more = button("+", words.more, 1 / parts);
  const labelled = h("label", { for: id }, label);
  return {
    box: h(
      "div",
      { class: "stepper" },
      labelled,
      h("div", { class: "stepper-line" }, button("−", words.less, -1 / parts), input, more),
    ),
    value: () => now,
    focus: () => more.focus({ preventScroll: true }),
    setLabel(words) {
      labelled.textContent = words;
    },
    set(value, first, last) {
      limits.first = first;
      limits.last = last;
      now = rounded(value);
      input.value = typeable(now);
    },
  };
}
