/** One weak area: where, how sure, whose trees, what was not met, and the return that mends it. */

import type { WeakArea } from "../../core/quality-contracts";
import { AREA_STATE, WEAK } from "../../core/quality-areas-wording";
import { h } from "../../ui/dom";
import { placeLink } from "../place-link";
import { placeOfPart, type Desk } from "./desk";
import { returnForm } from "./make-return";

function told(words: string, lines: readonly string[]): HTMLElement | null {
  if (lines.length === 0) return null;
  return h("div", {}, h("h4", {}, words), h("ul", {}, ...lines.map((one) => h("li", {}, one))));
}

/** Return the card; `show` puts the area on a map, where there is one. `hasForm`: a return can be made on it. */
export function areaCard(area: WeakArea, desk: Desk, { show = null, hasForm = true }: { show?: (() => void) | null; hasForm?: boolean } = {}): HTMLElement {
  const { rows, positions, state, odds_words, recheck, returns } = area;
  const hasReturn = returns.length > 0;
  return h(
    "article",
    { class: "area-card", "data-state": state },
    h("h3", {}, WEAK.place({ block_code: area.block_code, rows, positions })),
    h("p", {}, h("strong", {}, odds_words), ` (${AREA_STATE[state]})`),
    recheck === null ? null : h("p", {}, WEAK.recheck(recheck.faulty, recheck.checked)),
    h(
      "div",
      { class: "area-told" },
      told(WEAK.crews, area.crews.map(({ crew, faulty, checked }) => WEAK.crewLine(crew, faulty, checked))),
      told(WEAK.points, area.points.filter(({ failed }) => failed > 0).map(({ sentence, failed }) => WEAK.pointLine(sentence, failed))),
    ),
    hasReturn ? h("p", {}, WEAK.hasReturn, " ", placeLink(placeOfPart("returns"), WEAK.seeReturns, desk.context.go)) : null,
    show === null ? null : h("div", { class: "line-buttons" }, h("button", { type: "button", on: { click: show } }, WEAK.showMap)),
    hasForm && desk.mayWrite && !hasReturn && state !== "none" ? returnForm(desk, { area, isOpen: false }) : null,
  );
}
