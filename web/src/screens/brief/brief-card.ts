/** The brief as a card over the rows: hazards of the block, target, points with drawings, notes, cautions. */

import { dayIn } from "../../core/ahead";
import type { BriefVersion, BudTarget, Hazard } from "../../core/brief-contracts";
import { isUnread, languageOf, newsIn, type BriefNews, type ReadBrief } from "../../core/brief-reading";
import { BRIEF, PART, POINT_CLASS, TARGETS } from "../../core/brief-wording";
import generalCautions from "../../core/general-cautions.json";
import { languageName } from "../../core/language-names";
import { dayText, measure } from "../../core/numbers";
import { numbersText } from "../../core/several-rows";
import type { TabletMemory } from "../../data/tablet-memory";
import { checkSign, weightSign } from "../../ui/brief-signs";
import { fieldId, radioGroup } from "../../ui/field";
import { fill, h } from "../../ui/dom";
import type { BriefParts } from "./block-brief";
import "./brief.css";

/** How the card came here: it must be read, or somebody asked for it. */
export type CardWay = { due: true; read(): void } | { due: false };
interface CardTools {
  /** The code of the block. */
  code: string;
  memory: Pick<TabletMemory, "briefLanguage" | "setBriefLanguage">;
  timeZone: string;
}
const GENERAL: Readonly<Record<string, readonly string[]>> = generalCautions;

/** Return the card; `read` is what of this brief was read on this tablet before. */
export function briefCard({ brief, hazards, drawings }: BriefParts, read: ReadBrief | null, { code, memory, timeZone }: CardTools, way: CardWay): HTMLElement {
  const cautions: Readonly<Record<string, readonly string[]>> = brief
    ? Object.fromEntries(Object.entries(brief.texts).map(([code, text]) => [code, text.cautions]))
    : GENERAL;
  const isNew = brief ? isUnread(brief, read) : false;
  const news = brief && isNew && read !== null ? newsIn(brief, read) : null;
  // whoever read it before has it all in sight: what may hurt, and what to leave
  let isWhole = !way.due || isNew;
  const body = h("div", {});
  const foot = h("div", { class: "brief-foot" });
  const draw = (): void => {
    const language = languageOf(cautions, memory.briefLanguage()) ?? "en";
    fill(
      body,
      hazardList(hazards, language),
      brief ? target(brief.content.bud_target) : null,
      brief && isWhole ? points(brief, drawings, news, language) : null,
      brief && isWhole ? notes(brief.content.notes, language) : null,
      cautionList(cautions[language] ?? [], language),
    );
  };
  const drawFoot = (): void => {
    if (!way.due) return;
    const showAll = (): void => {
      isWhole = true;
      draw();
      drawFoot();
      body.querySelector<HTMLElement>("ol")?.focus({ preventScroll: true });
    };
    const away = (): void => {
      card.remove();
      way.read();
    };
    // what is new is read to its end; what is known is put away from where one stands
    foot.dataset["stays"] = String(!isNew);
    fill(
      foot,
      brief && !isWhole ? h("button", { type: "button", on: { click: showAll } }, BRIEF.whole) : null,
      h("button", { type: "button", class: "main", on: { click: away } }, BRIEF.read),
    );
  };
  const title = fieldId();
  const picked = languageOf(cautions, memory.briefLanguage()) ?? "en";
  const card = h(
    "section",
    { class: "brief", "aria-labelledby": title },
    h(
      "header",
      { class: "brief-head" },
      h("div", {}, h("h2", { id: title }, way.due ? BRIEF.title(code) : BRIEF.opened), ...standing(brief, news, isNew, { timeZone, isDue: way.due })),
      languageChoice(Object.keys(cautions), picked, (code) => {
        memory.setBriefLanguage(code);
        draw();
      }),
    ),
    body,
    way.due ? foot : null,
  );
  draw();
  drawFoot();
  return card;
}

/** Say which version it is, and what is new in it. */
function standing(
  brief: BriefParts["brief"],
  news: BriefNews | null,
  isNew: boolean,
  { timeZone, isDue }: { timeZone: string; isDue: boolean },
): HTMLElement[] {
  if (!brief) return [h("p", {}, brief === null ? BRIEF.none : BRIEF.unknown)];
  const day = dayText(dayIn(timeZone, Date.parse(brief.published_at)));
  if (news === null) {
    const words = !isDue ? BRIEF.version : isNew ? BRIEF.first : BRIEF.same;
    return [h("p", {}, words(brief.version, day))];
  }
  const lines = [
    ...(news.points.size > 0 ? [BRIEF.changedPoints(news.points.size)] : []),
    ...news.parts.map((part) => PART[part]),
    ...news.gone.map(BRIEF.gone),
  ];
  return [h("p", {}, h("strong", {}, BRIEF.newer(day))), h("ul", { class: "brief-news" }, ...lines.map((line) => h("li", {}, line)))];
}

function languageChoice(codes: readonly string[], picked: string, changed: (code: string) => void): HTMLElement | null {
  if (codes.length < 2) return null;
  return radioGroup(BRIEF.language, codes.map((value) => ({ value, label: languageName(value) })), picked, changed).box;
}

function hazardList(hazards: readonly Hazard[], language: string): HTMLElement | null {
  if (hazards.length === 0) return null;
  const line = ({ rows, texts }: Hazard): HTMLElement => {
    const said = languageOf(texts, language) ?? "";
    const where = rows.length === 0 ? null : h("strong", {}, BRIEF.rows(numbersText(rows), rows.length), " ");
    return h("li", {}, where, h("span", { lang: said }, texts[said] ?? ""));
  };
  return h("section", { class: "brief-hazards" }, h("h3", {}, BRIEF.hazards), h("ul", {}, ...hazards.map(line)));
}

function target(wanted: BudTarget): HTMLElement | null {
  const lines = TARGETS.flatMap(([part, words]) => {
    const number = wanted[part];
    return number === null ? [] : [h("li", {}, h("strong", {}, measure(number)), ` ${words}`)];
  });
  return lines.length === 0 ? null : h("section", { class: "brief-target" }, h("h3", {}, BRIEF.target), h("ul", {}, ...lines));
}

function points(brief: BriefVersion, drawings: BriefParts["drawings"], news: BriefNews | null, language: string): HTMLElement {
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
        h("p", { class: "brief-number" }, String(at + 1), isChanged && h("em", {}, BRIEF.changed)),
        h("p", { class: "brief-sentence", lang: language }, sentence),
        h("p", { class: "brief-weight" }, weightSign(point_class), ` ${POINT_CLASS[point_class]} `, checkSign(is_checked), ` ${is_checked ? BRIEF.checked : BRIEF.taught}`),
      ),
    );
  };
  return h("ol", { class: "brief-points", tabindex: "-1" }, ...brief.content.points.map(item));
}

function notes(said: Readonly<Record<string, string>>, language: string): HTMLElement | null {
  const of = languageOf(said, language) ?? "";
  const text = said[of]?.trim() ?? "";
  return text === "" ? null : h("section", { class: "brief-notes" }, h("h3", {}, BRIEF.notes), h("p", { lang: of }, text));
}

/** Each caution with the hazard it opens with in bold, for whoever only glances; the last sentence defers. */
function cautionList(said: readonly string[], language: string): HTMLElement {
  const line = (text: string): HTMLElement => {
    const colon = text.indexOf(": ");
    return colon < 0 ? h("li", {}, text) : h("li", {}, h("strong", {}, text.slice(0, colon + 1)), text.slice(colon + 1));
  };
  return h(
    "section",
    { class: "brief-cautions" },
    h("h3", {}, BRIEF.cautions),
    h("ul", { lang: language }, ...said.slice(0, -1).map(line)),
    h("p", { lang: language }, h("strong", {}, said.at(-1) ?? "")),
  );
}
