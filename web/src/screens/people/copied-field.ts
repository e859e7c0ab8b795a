/** Something shown to be taken elsewhere: read only, selected at a touch, with a button that copies it. */

import { PEOPLE } from "../../core/people-wording";
import { h } from "../../ui/dom";
import { textField } from "../../ui/field";
import { notice } from "../../ui/notice";

/** Return the parts in their order: the field, its button, and what came of it. */
export function copiedField(label: string, value: string, words: { hint: string; copy: string; main?: boolean }): HTMLElement[] {
  const said = notice();
  const field = textField(label, value, { readonly: true, class: "link-field", spellcheck: "false" }, words.hint);
  field.input.addEventListener("focus", () => field.input.select());
  const copy = async (): Promise<void> => {
    try {
      await navigator.clipboard.writeText(value); // absent on plain http
      said.say(PEOPLE.copied, "good");
    } catch {
      field.input.focus();
      said.say(PEOPLE.notCopied);
    }
  };
  const kind = words.main === false ? {} : { class: "main" };
  return [field.box, h("button", { type: "button", ...kind, on: { click: () => void copy() } }, words.copy), said.box];
}
