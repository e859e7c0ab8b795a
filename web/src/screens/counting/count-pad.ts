/** The number of one tree: huge, counted by touches of a glove, or typed. */

import { typedNumber } from "../../core/numbers";
import { TALLY } from "../../core/tally-wording";
import { h } from "../../ui/dom";
import { fieldId } from "../../ui/field";

export interface CountPad {
  box: HTMLElement;
  set(number: number): void;
}

/** Return the pad; `by` hears touches, `typed` a whole number. */
export function countPad(hears: { by(more: number): void; typed(number: number): void }): CountPad {
  const id = fieldId();
  const input = h("input", { id, type: "text", inputmode: "numeric", class: "count-number", autocomplete: "off" });
  input.addEventListener("focus", () => input.select());
  const typed = (): number => typedNumber(input.value) ?? 0;
  // heard at every key: where a touch on a button leaves the keyboard in the field, no change is told
  input.addEventListener("input", () => hears.typed(typed()));
  const button = (text: string, more: number, its: { name: string; class: string }): HTMLElement =>
    h("button", { type: "button", class: its.class, "aria-label": its.name, on: { click: () => hears.by(more) } }, text);
  return {
    box: h(
      "div",
      { class: "count-pad" },
      h("label", { for: id }, TALLY.number),
      h("div", { class: "count-line" }, button("−1", -1, { name: TALLY.less, class: "count-less" }), input, button("+5", 5, { name: TALLY.five, class: "count-five" })),
      button("+1", 1, { name: TALLY.more, class: "count-more main" }),
    ),
    set(number) {
      // what is being typed is left alone while it says the same
      if (document.activeElement !== input || typed() !== number) input.value = String(number);
    },
  };
}
