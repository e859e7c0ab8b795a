/** Pay: a run of days, hours by person, rules, earlier runs and the cost of the season. For managers alone. */

import { PAY, PAY_PART_WORD } from "../../core/pay-wording";
import { isAnythingWaiting } from "../../core/pay-drafts";
import { PAY_PARTS, payAsked, type PayDays, type PayPart } from "../../core/pay-place";
import { addressOf, type Place } from "../../core/place";
import { payApi } from "../../data/pay-api";
import { fill, h } from "../../ui/dom";
import "../../ui/line-buttons.css";
import { STILL, type Screen, type Shown } from "../context";
import { placeLink } from "../place-link";
import { showCost } from "./cost";
import { placeOfPart, type Desk, type Part } from "./desk";
import { showHours } from "./hours";
import "./pay.css";
import { showRules } from "./rules";
import { showRun } from "./run";
import { showRuns } from "./runs";

const PARTS: Record<PayPart, Part> = { run: showRun, hours: showHours, rules: showRules, runs: showRuns, cost: showCost };

window.addEventListener("beforeunload", (event) => {
  if (isAnythingWaiting()) event.preventDefault();
});

/** Show the screen. */
export const showPay: Screen = (root, context) => {
  let left = false;
  const { part: here, day, until } = payAsked(context.place);
  const ways = h("nav", { class: "pay-parts", "aria-label": PAY.parts });
  let kept: PayDays | null = day === null ? null : { day, until };
  const asking = (): Pick<Place, "day" | "until"> => (kept === null ? {} : { day: kept.day, ...(kept.until !== null && { until: kept.until }) });
  const drawWays = (): void => {
    const way = (part: PayPart): HTMLElement =>
      placeLink(placeOfPart(part, asking()), PAY_PART_WORD[part], context.go, { class: "pay-part", "aria-current": part === here ? "page" : null });
    fill(ways, ...PAY_PARTS.map(way));
  };
  const keep = (part: PayPart, days: PayDays | null, crew: string | null = context.place.crew ?? null): void => {
    if (left) return;
    kept = days;
    context.place = placeOfPart(part, { ...asking(), ...(crew !== null && { crew }) });
    history.replaceState(null, "", addressOf(context.place));
    drawWays();
  };
  let followed: Pick<Shown, "cursor" | "newer" | "leave"> = STILL;
  const follow: Desk["follow"] = (shown) => {
    followed.leave();
    followed = shown;
  };
  const desk: Desk = { context, api: payApi(context.request), farm: context.farm.id, today: context.farm.today, day, until, keep, follow, kept: () => kept, isLeft: () => left };
  const body = h("div", { class: "pay-body" });
  fill(
    root,
    h("h1", { class: "unseen" }, PAY.title),
    h("div", { class: "pay" }, ways, body),
    h("p", { class: "pay-law" }, PAY.law),
  );
  drawWays();
  PARTS[here](body, desk);
  return {
    cursor: () => followed.cursor(),
    newer: (records) => followed.newer(records),
    leave() {
      left = true;
      followed.leave();
    },
  };
};
