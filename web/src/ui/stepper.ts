/** A whole number with a large minus, a large plus and a field to type in. */

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

/** Return a stepper; `changed` hears every new value. */
export function stepper(
  label: string,
  words: { less: string; more: string },
  changed: (value: number) => void,
): Stepper {
  const id = fieldId();
  const limits = { first: 1, last: 1 };
  let now = 1;
  const input = h("input", { id, type: "text", inputmode: "numeric", class: "stepper-value", autocomplete: "off" });
  const take = (value: number): void => {
    now = held(Math.round(value), limits.first, limits.last);
    input.value = String(now);
    changed(now);
  };
  input.addEventListener("change", () => {
    const typed = Number.parseInt(input.value, 10);
    take(Number.isNaN(typed) ? now : typed);
  });
  input.addEventListener("focus", () => input.select());
  const button = (text: string, name: string, by: number): HTMLElement =>
    h("button", { type: "button", class: "step", "aria-label": name, on: { click: () => take(now + by) } }, text);
  const more = button("+", words.more, 1);
  const labelled = h("label", { for: id }, label);
  return {
    box: h(
      "div",
      { class: "stepper" },
      labelled,
      h("div", { class: "stepper-line" }, button("−", words.less, -1), input, more),
    ),
    value: () => now,
    focus: () => more.focus({ preventScroll: true }),
    setLabel(words) {
      labelled.textContent = words;
    },
    set(value, first, last) {
      limits.first = first;
      limits.last = last;
      now = held(value, first, last);
      input.value = String(now);
    },
  };
}
