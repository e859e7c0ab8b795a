/** The card of the draft as the crew will get it, drawn again a moment after each change. */

import { cardLanguages, readingLanguage } from "../../core/brief-points";
import { languageWord, PREVIEW } from "../../core/briefs-wording";
import { SHELL } from "../../core/wording";
import type { BriefsApi, CardSize } from "../../data/briefs-api";
import { sentence } from "../../data/request";
import { h } from "../../ui/dom";
import { choiceField } from "../../ui/field";
import { notice } from "../../ui/notice";
import { cardFrame } from "./card-frame";
import type { Desk } from "./desk";

const MOMENT_MS = 700;

export interface CardPreview {
  box: HTMLElement;
  /** Draw what has changed, once it is in sight. */
  draw(): void;
}

/** Return the preview; cards are `made` in these languages. */
export function cardPreview(api: BriefsApi, desk: Desk, title: string, made: readonly string[]): CardPreview {
  const codes = cardLanguages(desk.content(), made);
  const languages = codes.map((value) => ({ value, label: languageWord(value) }));
  const reading = readingLanguage(desk.content());
  const language = choiceField(PREVIEW.language, languages, codes.includes(reading) ? reading : (codes[0] ?? reading));
  const size = choiceField(PREVIEW.size, [{ value: "a4", label: PREVIEW.a4 }, { value: "a5", label: PREVIEW.a5 }], "a4");
  const said = notice();
  const card = cardFrame();
  let wanted = "";
  let timer = 0;
  const read = async (wish: string): Promise<void> => {
    const paper = size.input.value as CardSize;
    try {
      const html = await api.card(desk.farm, desk.content(), title, { language: language.input.value, size: paper });
      if (wish !== wanted) return; // it was changed meanwhile
      said.say("");
      card.show(html, paper);
    } catch (error) {
      if (wish !== wanted) return;
      wanted = ""; // tried again with the next change
      said.say(sentence(error, SHELL.noAnswer), "bad");
    }
  };
  const draw = (wait_ms = 0): void => {
    const wish = JSON.stringify([desk.content(), language.input.value, size.input.value]);
    if (wish === wanted || !box.checkVisibility()) return;
    if (wanted === "") said.say(PREVIEW.making);
    wanted = wish;
    clearTimeout(timer);
    timer = window.setTimeout(() => void read(wish), wait_ms);
  };
  for (const { input } of [language, size]) input.addEventListener("change", () => draw());
  desk.listen(() => draw(MOMENT_MS));
  const box = h(
    "section",
    { class: "card-preview", "aria-label": PREVIEW.title },
    h("h2", {}, PREVIEW.title),
    h("div", { class: "form" }, language.box, size.box),
    said.box,
    card.box,
  );
  queueMicrotask(() => draw()); // once it is on the page
  return { box, draw: () => draw() };
}
