/** Several of a few choices, all seen at once; and the days of the week that are worked. */

import { weekdayNames } from "../../core/working-calendar";
import { h } from "../../ui/dom";

export interface CheckList {
  box: HTMLElement;
  values(): string[];
}

/** Return the choices. */
export function checkList(legend: string, choices: readonly { value: string; label: string }[], chosen: readonly string[]): CheckList {
  const inputs = choices.map(({ value, label }) => {
    const input = h("input", { type: "checkbox", value });
    input.checked = chosen.includes(value);
    return { value, input, line: h("label", { class: "radio" }, input, h("span", {}, label)) };
  });
  return {
    box: h("fieldset", { class: "radios" }, h("legend", {}, legend), ...inputs.map(({ line }) => line)),
    values: () => inputs.flatMap(({ value, input }) => (input.checked ? [value] : [])),
  };
}

/** Return the days of the week to choose, as "1111100". */
export function weekdayChoice(legend: string, weekdays: string): { box: HTMLElement; value(): string } {
  const names = weekdayNames();
  const list = checkList(
    legend,
    names.map((label, at) => ({ value: String(at), label })),
    names.flatMap((_, at) => (weekdays[at] === "1" ? [String(at)] : [])),
  );
  return { box: list.box, value: () => names.map((_, at) => (list.values().includes(String(at)) ? "1" : "0")).join("") };
}
