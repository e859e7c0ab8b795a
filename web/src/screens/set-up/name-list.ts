/** A list of what is there and a short form that adds one more: season, crews, people, varieties. */

import { SET_UP } from "../../core/set-up-wording";
import { SHELL } from "../../core/wording";
import { sentence } from "../../data/request";
import { h } from "../../ui/dom";
import type { Field } from "../../ui/field";
import { notice } from "../../ui/notice";

export interface NameList {
  title: string;
  none: string;
  lines: readonly string[];
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

/** Return the section. */
export function nameList(about: NameList): HTMLElement {
  const said = notice();
  const submit = async (event: Event): Promise<void> => {
    event.preventDefault();
    const name = about.name.input.value.trim();
    about.name.complain(name === "" ? SET_UP.needsName : "");
    const well = about.check?.() ?? true;
    if (name === "" || !well) return;
    try {
      await about.add(name);
      said.say(SET_UP.added(name), "good");
      await about.added();
    } catch (error) {
      said.say(sentence(error, SHELL.noAnswer), "bad");
    }
  };
  return h(
    "section",
    { class: "name-list" },
    h("h2", {}, about.title),
    about.lines.length === 0
      ? h("p", {}, about.none)
      : h("ul", { class: "plain-list named", tabindex: about.lines.length > 6 ? 0 : null }, ...about.lines.map((line) => h("li", {}, line))),
    h(
      "details",
      { open: about.lines.length === 0 },
      h("summary", {}, about.lines.length === 0 ? SET_UP.fillIn : about.another),
      h(
        "form",
        { class: "form", novalidate: true, on: { submit: (event: Event) => void submit(event) } },
        about.name.box,
        ...about.more,
        h("button", { type: "submit" }, about.button),
      ),
    ),
    said.box,
  );
}
