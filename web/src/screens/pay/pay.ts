/** Pay: a run of days, hours by person, rules, earlier runs and the cost of the season. For managers alone. */

import { PAY, PAY_PART_WORD } from "../../core/pay-wording";
import { isAnythingWaiting } from "../../core/pay-drafts";
import { PAY_PARTS, payAsked, type PayPart } from "../../core/pay-place";
import { payApi } from "../../data/pay-api";
import { fill, h } from "../../ui/dom";
import "../../ui/line-buttons.css";
import type { Screen } from "../context";
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
  const { part: here, day } = payAsked(context.place);
  const desk: Desk = { context, api: payApi(context.request), farm: context.farm.id, today: context.farm.today, day, isLeft: () => left };
  const links = PAY_PARTS.map((part) =>
    placeLink(placeOfPart(part), PAY_PART_WORD[part], context.go, { class: "pay-part", "aria-current": part === here ? "page" : null }),
  );
  const body = h("div", { class: "pay-body" });
  fill(
    root,
    h("h1", { class: "unseen" }, PAY.title),
    h("div", { class: "pay" }, h("nav", { class: "pay-parts", "aria-label": PAY.parts }, ...links), body),
    h("p", { class: "pay-law" }, PAY.law),
  );
  PARTS[here](body, desk);
  return {
    // figures of pay change under nobody's eyes: they are read anew when asked for
    cursor: () => null,
    newer: () => undefined,
    leave() {
      left = true;
    },
  };
};
