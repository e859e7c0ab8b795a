/** The other languages, each by its own name, for whoever cannot read this one: at the foot of every screen, before sign-in too. */

import { language } from "../../core/language";
import { languageName } from "../../core/language-names";
import { SHELL } from "../../core/wording";
import { LANGUAGES } from "../../data/catalogues";
import { h } from "../../ui/dom";

/** Return a button for each language that is not spoken now. */
export function languageChoice(speak: (code: string) => void): HTMLElement {
  const others = LANGUAGES.filter((code) => code !== language());
  const buttons = others.map((code) =>
    h("button", { type: "button", class: "quiet", lang: code, on: { click: () => speak(code) } }, languageName(code)),
  );
  return h("div", { class: "languages", role: "group", "aria-label": SHELL.language }, ...buttons);
}
