/** What the file cannot say about itself: coordinate system, layer, axes. */

import type { Question } from "../../core/import-contracts";
import { IMPORT } from "../../core/set-up-wording";
import { SHELL } from "../../core/wording";
import { h } from "../../ui/dom";
import { choiceField, textField } from "../../ui/field";

/** Return the form; `answered` hears the answers given. */
export function questionsForm(
  questions: readonly Question[],
  known: Readonly<Record<string, string>>,
  answered: (answers: Record<string, string>) => void,
): HTMLElement {
  const fields = questions.map(({ key, text, choices }) => {
    const now = known[key] ?? "";
    const field =
      choices.length === 0
        ? textField(text, now)
        : choiceField(text, [{ value: "", label: SHELL.choose }, ...choices], now);
    return { key, field };
  });
  // the choices are the likely ones; a survey may still be in another system
  const other = questions.some(({ key }) => key === "crs") ? textField(IMPORT.otherCrs, "", {}, IMPORT.otherCrsHint) : null;
  const submit = (event: Event): void => {
    event.preventDefault();
    const given = fields.map(({ key, field }): [string, string] => [key, field.input.value.trim()]);
    if (other !== null) given.push(["crs", other.input.value.trim()]);
    answered(Object.fromEntries(given.filter(([, value]) => value !== "")));
  };
  return h(
    "form",
    { class: "questions", on: { submit } },
    h("h3", {}, IMPORT.answer),
    ...fields.map(({ field }) => field.box),
    other?.box ?? null,
    h("button", { type: "submit", class: "main" }, IMPORT.read),
  );
}
