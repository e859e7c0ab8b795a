/** Links to the card on paper: of the draft and of the last version, by size and language. */

import type { BlockSummary } from "../../core/contracts";
import { cardLanguages } from "../../core/brief-points";
import { languageWord, PUBLISH } from "../../core/briefs-wording";
import { cardAddress, type CardSize } from "../../data/briefs-api";
import { fill, h } from "../../ui/dom";
import { choiceField } from "../../ui/field";
import type { Desk } from "./desk";

const SIZES: readonly CardSize[] = ["a4", "a5"];

/** Return the links, folded; cards are `made` in these languages, of all blocks or for one of those that the brief holds for. */
export function printLinks(desk: Desk, made: readonly string[], blocks: readonly BlockSummary[]): HTMLElement {
  const box = h("div", { class: "print-links" });
  const choices = [{ value: "", label: PUBLISH.allBlocks }, ...blocks.map(({ id, code }) => ({ value: id, label: code }))];
  const block = choiceField(PUBLISH.printBlock, choices, "", PUBLISH.printBlockHint);
  let told = "";
  const group = (title: string, version: number | null, languages: readonly string[]): HTMLElement => {
    const wishes = SIZES.flatMap((size) => languages.map((language) => ({ size, language })));
    const links = wishes.map(({ size, language }) => {
      const href = cardAddress(desk.farm, desk.brief, version, { size, language, block: block.input.value });
      const words = PUBLISH.sheet(size.toUpperCase(), languageWord(language));
      return h("a", { class: "button", href, target: "_blank", rel: "noopener", "aria-label": `${title}: ${words}` }, words);
    });
    return h("div", {}, h("h3", {}, title), h("div", { class: "line-buttons" }, ...links));
  };
  const draw = (): void => {
    const last = desk.versions().at(-1)?.version ?? null;
    const languages = cardLanguages(desk.content(), made);
    const now = JSON.stringify([last, languages, block.input.value]);
    if (now === told) return;
    told = now;
    fill(box, last === null ? null : group(PUBLISH.printVersion(last), last, languages), group(PUBLISH.printDraft, null, languages));
  };
  block.input.addEventListener("change", draw);
  desk.listen(draw);
  draw();
  return h("details", {}, h("summary", {}, PUBLISH.print), blocks.length === 0 ? null : h("div", { class: "form" }, block.box), box);
}
