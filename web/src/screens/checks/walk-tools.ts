/** What is rarely needed at a tree: why it cannot be judged, and a note. */

import { SKIP, WALK } from "../../core/check-walk-wording";
import type { NotJudged } from "../../core/contracts";
import { SKIP_REASONS } from "../../core/walk-standing";
import { fill, h } from "../../ui/dom";
import { textField } from "../../ui/field";

export interface SkipChoice {
  button: HTMLElement;
  box: HTMLElement;
  shut(): void;
}

/** Return the button for a tree that cannot be judged, and the reasons that it opens; `hint` says what becomes of it. */
export function skipChoice(hint: string, chosen: (reason: NotJudged) => void): SkipChoice {
  const box = h("div", { class: "walk-skip" });
  const shut = (): void => {
    fill(box);
    button.setAttribute("aria-expanded", "false");
  };
  const open = (): void => {
    const reasons = SKIP_REASONS.map((reason) => h("button", { type: "button", on: { click: () => chosen(reason) } }, SKIP[reason]));
    const back = h("button", { type: "button", class: "quiet", on: { click: shut } }, WALK.back);
    fill(box, h("h3", {}, WALK.whyNot), h("p", {}, hint), h("div", { class: "walk-reasons" }, ...reasons, back));
    button.setAttribute("aria-expanded", "true");
    box.scrollIntoView({ block: "nearest" });
  };
  const button = h("button", { type: "button", "aria-expanded": "false", on: { click: () => (box.childElementCount > 0 ? shut() : open()) } }, WALK.notJudged);
  return { button, box, shut };
}

export interface NoteField {
  button: HTMLElement;
  box: HTMLElement;
  draw(text: string): void;
}

/** Return the button for a note, and the field that it opens; `written` hears it as it is typed. */
export function noteField(written: (text: string) => void): NoteField {
  const field = textField(WALK.note, "", { maxlength: 500 });
  const show = (isOpen: boolean): void => {
    field.box.hidden = !isOpen;
    button.setAttribute("aria-expanded", String(isOpen));
  };
  const toggle = (): void => {
    show(field.box.hidden !== false || field.input.value !== "");
    if (!field.box.hidden) field.input.focus();
  };
  const button = h("button", { type: "button", on: { click: toggle } }, WALK.noteButton);
  field.input.addEventListener("input", () => written(field.input.value));
  show(false);
  return {
    button,
    box: field.box,
    draw(text) {
      if (field.input.value === text) return;
      field.input.value = text;
      show(text !== "");
    },
  };
}
