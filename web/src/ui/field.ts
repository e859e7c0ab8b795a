/** Labelled inputs: text, number, day, choice, radio group. The label is always seen. */

import { dayText } from "../core/numbers";
import { h, type Properties } from "./dom";

let made = 0;

/** Return an id that no other field of the page has. */
export function fieldId(): string {
  made += 1;
  return `field-${made}`;
}

export interface Field<Input extends HTMLElement> {
  box: HTMLElement;
  input: Input;
  /** Show what is wrong with this field, or nothing. */
  complain(text: string): void;
}

function labelled<Input extends HTMLElement>(label: string, input: Input, hint: string): Field<Input> {
  const id = fieldId();
  input.id = id;
  const problem = h("p", { class: "field-problem", id: `${id}-problem`, "aria-live": "polite" });
  const note = hint === "" ? null : h("p", { class: "field-hint", id: `${id}-hint` }, hint);
  input.setAttribute("aria-describedby", note === null ? problem.id : `${note.id} ${problem.id}`);
  return {
    box: h("div", { class: "field" }, h("label", { for: id }, label), input, note, problem),
    input,
    complain(text) {
      problem.textContent = text;
      if (text === "") input.removeAttribute("aria-invalid");
      else input.setAttribute("aria-invalid", "true");
    },
  };
}

/** Return a one-line input. */
export function textField(label: string, value = "", properties: Properties = {}, hint = ""): Field<HTMLInputElement> {
  const input = h("input", { type: "text", autocomplete: "off", ...properties });
  input.value = value;
  return labelled(label, input, hint);
}

/** Return a field of several lines. */
export function areaField(label: string, value = "", properties: Properties = {}, hint = ""): Field<HTMLTextAreaElement> {
  const input = h("textarea", { rows: 2, ...properties });
  input.value = value;
  return labelled(label, input, hint);
}

/** Return a day to enter; the browser writes it in its own order, so the day stands in words beside it, or what no day means. */
export function dayField(label: string, value = "", properties: Properties = {}, without = ""): Field<HTMLInputElement> {
  const field = textField(label, value, { ...properties, type: "date" });
  const words = h("p", { class: "field-hint", "aria-live": "polite" });
  const say = (): void => {
    words.textContent = field.input.value === "" ? without : dayText(field.input.value);
  };
  for (const event of ["input", "change"]) field.input.addEventListener(event, say);
  say();
  field.input.after(words);
  return field;
}

/** Return a list to choose one from. */
export function choiceField(
  label: string,
  choices: readonly { value: string; label: string }[],
  value: string,
  hint = "",
): Field<HTMLSelectElement> {
  const input = h("select", {});
  for (const choice of choices) input.append(h("option", { value: choice.value }, choice.label));
  input.value = value;
  return labelled(label, input, hint);
}

export interface RadioGroup {
  box: HTMLElement;
  value(): string;
}

/** Return a few choices, all seen at once. */
export function radioGroup(
  legend: string,
  choices: readonly { value: string; label: string }[],
  value: string,
  changed: (value: string) => void = () => undefined,
): RadioGroup {
  const name = fieldId();
  let now = value;
  const box = h("fieldset", { class: "radios" }, h("legend", {}, legend));
  for (const choice of choices) {
    const input = h("input", {
      type: "radio",
      name,
      value: choice.value,
      on: {
        change: () => {
          now = choice.value;
          changed(now);
        },
      },
    });
    input.checked = choice.value === value;
    box.append(h("label", { class: "radio" }, input, h("span", {}, choice.label)));
  }
  return { box, value: () => now };
}
