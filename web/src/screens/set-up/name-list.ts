/** A list of what is there and a short form that adds one more: season, crews, people, varieties. */

import { SET_UP } from "../../core/set-up-wording";
import { SHELL } from "../../core/wording";
import { sentence } from "../../data/request";
import { fill, h } from "../../ui/dom";
import type { Field } from "../../ui/field";
import { notice } from "../../ui/notice";

/** One of them in words, and how it is corrected where it can be. */
export interface NameLine {
  words: string;
  /** Makes the form anew each time it is opened. */
  correct?: () => Correction;
}
export interface Correction {
  name: Field<HTMLInputElement>;
  more: readonly HTMLElement[];
  check?: () => boolean;
  save(name: string): Promise<unknown>;
}

export interface NameList {
  title: string;
  none: string;
  lines: readonly NameLine[];
  button: string;
  /** What the folded form is called once there is one. */
  another: string;
  name: Field<HTMLInputElement>;
  more: readonly HTMLElement[];
  /** Say what is wrong with the other fields at those fields; true when all is well. */
  check?: () => boolean;
  add(name: string): Promise<unknown>;
  added(): Promise<void>;
}

/** Return a line with its button, and the form that takes its place when it is pressed. */
export function nameLine({ words, correct }: NameLine, saved: () => Promise<void>): HTMLElement {
  const line = h("li", {}, h("span", {}, words));
  if (correct === undefined) return line;
  const open = h("button", { type: "button", "aria-label": SET_UP.correctOf(words), on: { click: () => show() } }, SET_UP.correct);
  const close = (): void => {
    fill(line, h("span", {}, words), open);
    open.focus();
  };
  const show = (): void => {
    const { name, more, check, save } = correct();
    const said = notice();
    const submit = async (event: Event): Promise<void> => {
      event.preventDefault();
      const typed = name.input.value.trim();
      name.complain(typed === "" ? SET_UP.needsName : "");
      const well = check?.() ?? true;
      if (typed === "" || !well) return;
      try {
        await save(typed);
        await saved();
      } catch (error) {
        said.say(sentence(error, SHELL.noAnswer), "bad");
      }
    };
    const cancel = h("button", { type: "button", on: { click: close } }, SET_UP.leaveAsItIs);
    fill(
      line,
      h(
        "form",
        { class: "form", novalidate: true, on: { submit: (event: Event) => void submit(event) } },
        name.box,
        ...more,
        said.box,
        h("button", { type: "submit" }, SET_UP.saveCorrection),
        cancel,
      ),
    );
    name.input.focus();
  };
  line.append(open);
  return line;
}

/** Return the section. */
export function nameList(about: NameList): HTMLElement {
  const said = notice();
  const submit = async (event: Event): Promise<void> => {
    event.preventDefault();
    const name = about.name.input.value.trim();
    about.name.complain(name === "" ? SET_UP.needsName : "");
    const well = about.check?.() ?? true;
    if (name === "" || !well) return;
    // what is typed until the answer comes would go with the form
    about.name.input.readOnly = button.disabled = true;
    try {
      await about.add(name);
      said.say(SET_UP.added(name), "good");
      await about.added();
    } catch (error) {
      said.say(sentence(error, SHELL.noAnswer), "bad");
    }
    about.name.input.readOnly = button.disabled = false;
  };
  const button = h("button", { type: "submit" }, about.button);
  const form = h(
    "form",
    { class: "form", novalidate: true, on: { submit: (event: Event) => void submit(event) } },
    about.name.box,
    ...about.more,
    button,
  );
  return h(
    "section",
    { class: "name-list" },
    h("h2", {}, about.title),
    about.lines.length === 0
      ? h("p", {}, about.none)
      : h("ul", { class: "plain-list named", tabindex: about.lines.length > 6 ? 0 : null }, ...about.lines.map((line) => nameLine(line, about.added))),
    about.lines.length === 0 ? form : h("details", {}, h("summary", {}, about.another), form),
    said.box,
  );
}
