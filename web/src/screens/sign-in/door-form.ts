/** A form of the door: fields, one button, and what the service said to it. */

import { SHELL } from "../../core/wording";
import { sentence } from "../../data/request";
import { fill, h } from "../../ui/dom";
import type { Field } from "../../ui/field";
import { notice } from "../../ui/notice";
import { STILL, type Shown } from "../context";

export interface DoorForm {
  title: string;
  lead: string;
  fields: readonly Field<HTMLInputElement>[];
  button: string;
  send(): Promise<void>;
}

/** Show the form in `root`. */
export function showDoorForm(root: HTMLElement, form: DoorForm): Shown {
  const said = notice();
  const submit = async (event: Event): Promise<void> => {
    event.preventDefault();
    try {
      await form.send();
    } catch (error) {
      said.say(sentence(error, SHELL.noAnswer), "bad");
    }
  };
  fill(
    root,
    h("h1", {}, form.title),
    form.lead === "" ? null : h("p", { class: "lead" }, form.lead),
    said.box,
    h(
      "form",
      { class: "form narrow", novalidate: true, on: { submit: (event: Event) => void submit(event) } },
      ...form.fields.map((field) => field.box),
      h("button", { type: "submit", class: "main" }, form.button),
    ),
  );
  return STILL;
}
