/** Links to the card on paper: of the draft and of the last version, by size and language. */

import { cardLanguages } from "../../core/brief-points";
import { languageWord, PUBLISH } from "../../core/briefs-wording";
import { cardAddress, type CardSize } from "../../data/briefs-api";
import { fill, h } from "../../ui/dom";
import type { Desk } from "./desk";

const SIZES: readonly CardSize[] = ["a4", "a5"];

/** Return the links, folded; cards are `made` in these languages. */
export function printLinks(desk: Desk, made: readonly string[]): HTMLElement {
  const box = h("div", { class: "print-links" });
  let told = "";
  const group = (title: string, version: number | null, languages: readonly string[]): HTMLElement => {
    const wishes = SIZES.flatMap((size) => languages.map((language) => ({ size, language })));
    const links = wishes.map(({ size, language }) => {
      const href = cardAddress(desk.farm, desk.brief, version, { size, language });
      const words = PUBLISH.sheet(size.toUpperCase(), languageWord(language));
      return h("a", { class: "button", href, target: "_blank", rel: "noopener", "aria-label": `${title}: ${words}` }, words);
    });
    return h("div", {}, h("h3", {}, title), h("div", { class: "line-buttons" }, ...links));
  };
  const draw = (): void => {
    const last = desk.versions().at(-1)?.version ?? null;
    const languages = cardLanguages(desk.content(), made);
    const now = JSON.stringify([last, languages]);
    if (now === told) return;
    told = now;
    fill(box, last === null ? null : group(PUBLISH.printVersion(last), last, languages), group(PUBLISH.printDraft, null, languages));
  };
  desk.listen(draw);
  draw();
  return h("details", {}, h("summary", {}, PUBLISH.print), box);
}
