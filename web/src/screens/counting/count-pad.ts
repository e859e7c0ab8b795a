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
  input.addEventListener("change", () => hears.typed(typedNumber(input.value) ?? 0));
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
      input.value = String(number);
    },
  };
}
