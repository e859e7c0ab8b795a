/** Quality: lots and their plans, weak areas, crews, auditors and returns, for manager, auditor and adviser. */

import { QUALITY_PARTS, type QualityPart } from "../../core/place";
import { PART_WORD, QUALITY } from "../../core/quality-wording";
import { qualityApi } from "../../data/quality-api";
import { fill, h } from "../../ui/dom";
import "../../ui/line-buttons.css";
import type { Screen } from "../context";
import { placeLink } from "../place-link";
import { showAuditors } from "./auditors";
import "./charts.css";
import { showCrews } from "./crews";
import { deskOf, placeOfPart, type Desk, type Part } from "./desk";
import { showLot } from "./lot-page";
import { showLots } from "./lots-list";
import { showNewLot } from "./new-lot";
import "./quality.css";
import { showReturns } from "./returns-list";
import { showWeakAreas } from "./weak-list";

const PARTS: Record<QualityPart, Part> = {
  lots: showLots,
  "new-lot": showNewLot,
  weak: showWeakAreas,
  crews: showCrews,
  auditors: showAuditors,
  returns: showReturns,
};

function partList({ context, mayWrite }: Desk, here: QualityPart | null): HTMLElement {
  const offered = QUALITY_PARTS.filter((part) => mayWrite || part !== "new-lot");
  const links = offered.map((part) =>
    placeLink(placeOfPart(part), PART_WORD[part], context.go, { class: "quality-part", "aria-current": part === here ? "page" : null }),
  );
  return h("nav", { class: "quality-parts", "aria-label": QUALITY.parts }, ...links);
}

/** Show the screen. */
export const showQuality: Screen = (root, context) => {
  const desk = deskOf(context, qualityApi(context.request));
  const { lot, part: asked } = context.place;
  const part = QUALITY_PARTS.find((one) => one === asked) ?? "lots";
  const here = part === "new-lot" && !desk.mayWrite ? "lots" : part;
  const body = h("div", { class: "quality-body" });
  fill(
    root,
    h("h1", { class: "unseen" }, QUALITY.title),
    h("div", { class: "quality" }, partList(desk, lot === undefined ? here : null), body),
  );
  return lot === undefined ? PARTS[here](body, desk) : showLot(body, desk, lot);
};
