/** A form that is folded away, with its save button and the line that says what came of it. */

import { GOES_BY } from "../../core/forecast-wording";
import { SHELL } from "../../core/wording";
import { sentence } from "../../data/request";
import { h } from "../../ui/dom";
import { notice, type Notice } from "../../ui/notice";

export interface Frame {
  box: HTMLDetailsElement;
  fields: HTMLElement;
  said: Notice;
}

/** Return the frame; `save` tells whether there was anything to save, and throws what the service says. */
export function formFrame(title: string, save: () => Promise<boolean>, words: string = GOES_BY.save): Frame {
  const said = notice();
  const fields = h("div", { class: "forecast-fields" });
  const submit = async (event: Event): Promise<void> => {
    event.preventDefault();
    try {
      if (await save()) said.say(GOES_BY.saved, "good");
    } catch (error) {
      said.say(sentence(error, SHELL.noAnswer), "bad");
    }
  };
  const form = h(
    "form",
    { novalidate: true, on: { submit: (event: Event) => void submit(event) } },
    fields,
    h("div", { class: "line-buttons" }, h("button", { type: "submit", class: "main" }, words)),
    said.box,
  );
  return { box: h("details", { class: "forecast-form" }, h("summary", {}, title), form), fields, said };
}
