/** Notes for the crew, one a language. */

import { languagesOf, withNote } from "../../core/brief-points";
import { languageWord, REST } from "../../core/briefs-wording";
import { h } from "../../ui/dom";
import { areaField } from "../../ui/field";
import type { Desk } from "./desk";

/** Return the part. */
export function notesPart(desk: Desk): HTMLElement {
  const { notes } = desk.content();
  const languages = [...new Set([...languagesOf(desk.content()), ...Object.keys(notes)])];
  const fields = languages.map((language) => {
    const field = areaField(REST.note(languageWord(language)), notes[language] ?? "", { lang: language, rows: 3 });
    field.input.addEventListener("input", () => desk.change({ notes: withNote(desk.content(), language, field.input.value) }));
    return field.box;
  });
  return h("section", { class: "editor-notes" }, h("h2", {}, REST.notes), ...fields);
}
