/** What the signs mean that every drawing of a brief is made of. */

import { languageOf } from "../../core/brief-reading";
import key from "../../core/brief-key.json";
import { h } from "../../ui/dom";

const SIGNS: Readonly<Record<string, string>> = key.signs;
const WORDS: Readonly<Record<string, Readonly<Record<string, string>>>> = key.words;

/** Return the key in a language. */
export function signKey(language: string): HTMLElement {
  const said = languageOf(WORDS, language) ?? "";
  const sign = ([name, svg]: [string, string]): HTMLElement =>
    h("li", {}, h("img", { src: `data:image/svg+xml,${encodeURIComponent(svg)}`, alt: "" }), h("span", { lang: said }, WORDS[said]?.[name] ?? ""));
  return h("ul", { class: "brief-key" }, ...Object.entries(SIGNS).map(sign));
}
