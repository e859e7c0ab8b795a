/** The brief as a card over the rows: hazards of the block, target, points with drawings, notes, cautions. */

import { dayIn } from "../../core/ahead";
import type { BriefVersion, BudTarget, Hazard } from "../../core/brief-contracts";
import { areRead, isUnread, languageOf, newsIn, type BriefNews, type ReadBrief } from "../../core/brief-reading";
import { briefWords, type BriefWords } from "../../core/brief-wording";
import generalCautions from "../../core/general-cautions.json";
import { languageName } from "../../core/language-names";
import type { TabletMemory } from "../../data/tablet-memory";
import { checkSign, weightSign } from "../../ui/brief-signs";
import { fieldId, radioGroup } from "../../ui/field";
import { fill, h } from "../../ui/dom";
import type { BriefParts } from "./block-brief";
import { signKey } from "./sign-key";
import type { Speaker } from "./brief-speaker";
import "./brief.css";

/** How the card came here: it must be read, or somebody asked for it. */
export type CardWay = { due: true; read(): void; say(words: string): void } | { due: false };
interface CardTools {
  /** The code of the block. */
  code: string;
  memory: Pick<TabletMemory, "briefLanguage">;
  timeZone: string;
  /** Who speaks the language of the card. */
  speaker(): Speaker;
  /** Speak another language from now on. */
  speak(code: string): Promise<void>;
}
/** What was read on this tablet before. */
export interface CardRead {
  brief: ReadBrief | null;
  newHazards: readonly Hazard[];
  /** Nothing of this block was ever read here: then none is newer than another. */
  isFirst: boolean;
  /** What is remembered of the cautions that were read. */
  cautions: string | null;
}
/** What everything on the card is said with. */
interface Said {
  words: BriefWords;
  /** ISO 639-1 code of the language of the brief's own texts. */
  language: string;
}
const GENERAL: Readonly<Record<string, readonly string[]>> = generalCautions;

/** Return the cautions of a block by language: its brief's own, else those for all. */
export function cautionsOf({ brief, cautions }: Pick<BriefParts, "brief" | "cautions">): Readonly<Record<string, readonly string[]>> {
  return brief ? Object.fromEntries(Object.entries(brief.texts).map(([code, text]) => [code, text.cautions])) : (cautions ?? GENERAL);
}

/** Return the card. */
export function briefCard(parts: BriefParts, read: CardRead, tools: CardTools, way: CardWay): HTMLElement {
  const { code, memory, timeZone } = tools;
  const { brief, hazards, drawings } = parts;
  const cautions = cautionsOf(parts);
  const isNew = brief ? isUnread(brief, read.brief) : false;
  const news = brief && isNew && read.brief !== null ? newsIn(brief, read.brief) : null;
  // whoever read it before has it all in sight: what may hurt, and what to leave
  let isWhole = !way.due || isNew;
  const picked = (): string => languageOf(cautions, memory.briefLanguage()) ?? "en";
  const title = fieldId();
  const about = h("div", {});
  const languages = languageChoice(Object.keys(cautions), picked(), (code) => void tools.speak(code).then(draw));
  const body = h("div", {});
  const foot = h("div", { class: "brief-foot" });
  const card = h("section", { class: "brief", "aria-labelledby": title }, h("header", { class: "brief-head" }, about, languages), body, way.due ? foot : null);
  const drawBody = ({ words, language }: Said): void => {
    fill(
      body,
      hazardList(hazards, read.isFirst ? [] : read.newHazards, { words, language }),
      brief ? target(brief.content.bud_target, words) : null,
      brief && isWhole ? signKey(language) : null,
      brief && isWhole ? points(brief, drawings, news, { words, language }) : null,
      brief && isWhole ? notes(brief.content.notes, { words, language }) : null,
      cautionList(cautions[language] ?? [], { words, language }),
    );
  };
  const drawFoot = ({ words, language }: Said): void => {
    if (!way.due) return;
    const showAll = (): void => {
      isWhole = true;
      draw();
      body.querySelector<HTMLElement>("ol")?.focus({ preventScroll: true });
    };
    const away = (): void => {
      card.remove();
      way.read();
    };
    // what is new is read to its end; what is known is put away from where one stands
    foot.dataset["stays"] = String(!isNew && read.newHazards.length === 0 && areRead(cautions[language] ?? [], read.cautions));
    fill(
      foot,
      brief && !isWhole ? h("button", { type: "button", on: { click: showAll } }, words.whole) : null,
      h("button", { type: "button", class: "main", on: { click: away } }, words.read),
    );
  };
  function draw(): void {
    const speaker = tools.speaker();
    card.lang = speaker.code;
    speaker.say(() => {
      const said = { words: briefWords(), language: picked() };
      fill(
        about,
        h("h2", { id: title }, way.due ? said.words.title(code) : said.words.opened),
        ...standing(brief, news, isNew, { timeZone, isDue: way.due, isWarned: read.newHazards.length > 0, words: said.words }),
      );
      const legend = languages?.querySelector("legend");
      if (legend) legend.textContent = said.words.language;
      if (way.due) way.say(said.words.readFirst);
      drawBody(said);
      drawFoot(said);
    });
  }
  draw();
  return card;
}

/** Say which version it is, and what is new in it. */
function standing(
  brief: BriefParts["brief"],
  news: BriefNews | null,
  isNew: boolean,
  { timeZone, isDue, isWarned, words }: { timeZone: string; isDue: boolean; isWarned: boolean; words: BriefWords },
): HTMLElement[] {
  if (!brief) return [h("p", {}, brief === null ? words.none : words.unknown)];
  const day = words.day(dayIn(timeZone, Date.parse(brief.published_at)));
  if (news === null) {
    const say = !isDue || (isWarned && !isNew) ? words.version : isNew ? words.first : words.same;
    return [h("p", {}, say(brief.version, day))];
  }
  const lines = [
    ...(news.points.size > 0 ? [words.changedPoints(news.points.size)] : []),
    ...news.parts.map((part) => words.part[part]),
    ...news.gone.map(words.gone),
  ];
  return [h("p", {}, h("strong", {}, words.newer(day))), h("ul", { class: "brief-news" }, ...lines.map((line) => h("li", {}, line)))];
}

function languageChoice(codes: readonly string[], picked: string, changed: (code: string) => void): HTMLElement | null {
  if (codes.length < 2) return null;
  return radioGroup("", codes.map((value) => ({ value, label: languageName(value) })), picked, changed).box;
}

function hazardList(hazards: readonly Hazard[], unread: readonly Hazard[], { words, language }: Said): HTMLElement | null {
  if (hazards.length === 0) return null;
  const line = (hazard: Hazard): HTMLElement => {
    const said = languageOf(hazard.texts, language) ?? "";
    const isNew = unread.includes(hazard);
    return h("li", {}, isNew ? h("em", {}, words.isNew) : null, isNew ? " " : null, h("span", { lang: said }, ...boldStart(hazard.texts[said] ?? "")));
  };
  return h("section", { class: "brief-hazards" }, h("h3", {}, words.hazards), h("ul", {}, ...hazards.map(line)));
}

/** Up to its colon a sentence stands out, for whoever only glances. */
function boldStart(text: string): (HTMLElement | string)[] {
  const colon = text.indexOf(": ");
  return colon < 0 ? [text] : [h("strong", {}, text.slice(0, colon + 1)), text.slice(colon + 1)];
}

function target(wanted: BudTarget, words: BriefWords): HTMLElement | null {
  const lines = words.targets.flatMap(([part, counted]) => {
    const number = wanted[part];
    return number === null ? [] : [h("li", {}, h("strong", {}, words.number(number)), ` ${counted}`)];
  });
  return lines.length === 0 ? null : h("section", { class: "brief-target" }, h("h3", {}, words.target), h("ul", {}, ...lines));
}

function points(brief: BriefVersion, drawings: BriefParts["drawings"], news: BriefNews | null, { words, language }: Said): HTMLElement {
  const text = brief.texts[language];
  const item = ({ key, point_class, is_checked }: BriefVersion["content"]["points"][number], at: number): HTMLElement => {
    const sentence = text?.points[at] ?? "";
    const svg = drawings.get(text?.pictures[at] ?? "");
    const isChanged = news?.points.has(key) ?? false;
    return h(
      "li",
      { "data-changed": String(isChanged) },
      // as an image nothing in it runs, whatever it holds
      svg === undefined ? null : h("img", { src: `data:image/svg+xml,${encodeURIComponent(svg)}`, alt: sentence, lang: language }),
      h(
        "div",
        {},
        h("p", { class: "brief-number" }, String(at + 1), isChanged && h("em", {}, words.changed)),
        h("p", { class: "brief-sentence", lang: language }, sentence),
        h("p", { class: "brief-weight" }, weightSign(point_class), ` ${words.pointClass[point_class]} `, checkSign(is_checked), ` ${is_checked ? words.checked : words.taught}`),
      ),
    );
  };
  return h("ol", { class: "brief-points", tabindex: "-1" }, ...brief.content.points.map(item));
}

function notes(said: Readonly<Record<string, string>>, { words, language }: Said): HTMLElement | null {
  const of = languageOf(said, language) ?? "";
  const text = said[of]?.trim() ?? "";
  return text === "" ? null : h("section", { class: "brief-notes" }, h("h3", {}, words.notes), h("p", { lang: of }, text));
}

/** The last sentence defers. */
function cautionList(said: readonly string[], { words, language }: Said): HTMLElement {
  return h(
    "section",
    { class: "brief-cautions" },
    h("h3", {}, words.cautions),
    h("ul", { lang: language }, ...said.slice(0, -1).map((text) => h("li", {}, ...boldStart(text)))),
    h("p", { lang: language }, h("strong", {}, said.at(-1) ?? "")),
  );
}
