/** A touch that cannot be taken back: asked once more in plain words, in the same place. */

import { PEOPLE } from "../../core/people-wording";
import { SHELL } from "../../core/wording";
import { sentence } from "../../data/request";
import { fill, h } from "../../ui/dom";
import { notice } from "../../ui/notice";

export interface Sure {
  button: string;
  /** The same button said with its object, for those who hear it apart from its line. */
  label: string;
  question: string;
  yes: string;
  run(): Promise<void>;
}

/** Return the button; it opens into the question with its two answers. */
export function sure(about: Sure): HTMLElement {
  const box = h("div", { class: "sure" });
  const said = notice();
  const begin = h("button", { type: "button", "aria-label": about.label }, about.button);
  const close = (): void => {
    fill(box, begin);
    begin.focus();
  };
  const run = async (): Promise<void> => {
    try {
      await about.run();
    } catch (error) {
      said.say(sentence(error, SHELL.noAnswer), "bad");
    }
  };
  begin.addEventListener("click", () => {
    said.say("");
    const leave = h("button", { type: "button", class: "quiet", on: { click: close } }, PEOPLE.leave);
    const yes = h("button", { type: "button", class: "main", on: { click: () => void run() } }, about.yes);
    fill(box, h("p", { class: "sure-question", role: "alert" }, about.question), h("div", { class: "line-buttons" }, leave, yes), said.box);
    leave.focus(); // the harmless answer is under the keyboard
  });
  fill(box, begin);
  return box;
}
