/** A form of the door: fields, one button, and what the service said to it. */

import { SHELL } from "../../core/wording";
import { lockedUntil } from "../../core/sign-in-wording";
import { sentence } from "../../data/request";
import { answered, lockedFor_s } from "../../data/who-api";
import { h } from "../../ui/dom";
import type { Field } from "../../ui/field";
import { hourIn } from "../../ui/hour-here";
import { notice, type Notice } from "../../ui/notice";
import "./door.css";

export interface Refusals {
  /** What can be tried again later, after too many wrong tries. */
  locked: string;
  /** What to say when a code or link is used up (410). */
  over?: string;
}
export interface DoorForm extends Refusals {
  fields: readonly Field<HTMLInputElement>[];
  button: string;
  /** Say what is wrong at the fields themselves; true when all is well. */
  check(): boolean;
  send(): Promise<void>;
}

/** Return the sentence for what the door refused. */
export function refusal(error: unknown, { locked, over }: Refusals): string {
  const wait_s = lockedFor_s(error);
  if (wait_s !== null) return lockedUntil(locked, wait_s, hourIn(wait_s));
  if (over !== undefined && answered(error, 410)) return over;
  return sentence(error, SHELL.noAnswer);
}

/** Return the form and the line in which it speaks. */
export function doorForm(form: DoorForm): { box: HTMLElement; said: Notice } {
  const said = notice();
  let busy = false;
  const submit = async (event: Event): Promise<void> => {
    event.preventDefault();
    if (busy) return;
    if (!form.check()) {
      form.fields.find(({ input }) => input.getAttribute("aria-invalid") === "true")?.input.focus();
      return;
    }
    busy = true;
    said.say("");
    try {
      await form.send();
    } catch (error) {
      said.say(refusal(error, form), "bad");
    } finally {
      busy = false;
    }
  };
  const box = h(
    "form",
    { class: "door-form", novalidate: true, on: { submit: (event: Event) => void submit(event) } },
    ...form.fields.map((field) => field.box),
    said.box,
    h("button", { type: "submit", class: "main" }, form.button),
  );
  return { box, said };
}

/** Complain at a field that is empty; true when it is not. */
export function filled(field: Field<HTMLInputElement>, words: string): boolean {
  const empty = field.input.value.trim() === "";
  field.complain(empty ? words : "");
  return !empty;
}
