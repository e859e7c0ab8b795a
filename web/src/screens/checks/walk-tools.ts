/** What is rarely needed at a tree: why it cannot be judged, and a note. */

import { SKIP, WALK } from "../../core/check-walk-wording";
import { SKIP_REASONS, type SkipReason } from "../../core/walk-standing";
import { fill, h } from "../../ui/dom";
import { textField } from "../../ui/field";

export interface SkipChoice {
  button: HTMLElement;
  box: HTMLElement;
  shut(): void;
}

/** Return the button for a tree that cannot be judged, and the reasons that it opens. */
export function skipChoice(chosen: (reason: SkipReason) => void): SkipChoice {
  const box = h("div", { class: "walk-skip" });
  const shut = (): void => {
    fill(box);
    button.setAttribute("aria-expanded", "false");
  };
  const open = (): void => {
    const reasons = SKIP_REASONS.map((reason) => h("button", { type: "button", on: { click: () => chosen(reason) } }, SKIP[reason]));
    const back = h("button", { type: "button", class: "quiet", on: { click: shut } }, WALK.back);
    fill(box, h("h3", {}, WALK.whyNot), h("p", {}, WALK.whyNotHint), h("div", { class: "walk-reasons" }, ...reasons, back));
    button.setAttribute("aria-expanded", "true");
    box.scrollIntoView({ block: "nearest" });
  };
  const button = h("button", { type: "button", "aria-expanded": "false", on: { click: () => (box.childElementCount > 0 ? shut() : open()) } }, WALK.notJudged);
  return { button, box, shut };
}

/** Return the field for a note; `written` hears it as it is typed. */
export function noteField(written: (text: string) => void): { box: HTMLElement; draw(text: string): void } {
  const field = textField(WALK.note, "", { maxlength: 500 });
  field.box.classList.add("walk-note");
  field.input.addEventListener("input", () => written(field.input.value));
  return {
    box: field.box,
    draw(text) {
      if (field.input.value !== text) field.input.value = text;
    },
  };
}
