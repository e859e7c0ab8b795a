/** How far auditors agree: each coefficient with its interval, drawn and in words. */

import type { Agreement, Coefficient } from "../../core/crew-contracts";
import type { Span } from "../../core/quality-contracts";
import { AGREEMENT } from "../../core/quality-lot-wording";
import { trees } from "../../core/counted";
import { h } from "../../ui/dom";
import { intervalBar } from "./signs";

type Figure = "percent" | "kappa" | "ac1" | "positive";
const FIGURES: readonly Figure[] = ["percent", "ac1", "kappa", "positive"];
/** Told in percent; the others are no shares of anything. */
const SHARES: readonly Figure[] = ["percent", "positive"];
/** Coefficients beyond chance go below 0 where auditors agree less than chance would bring. */
const SCALE: Record<Figure, Span> = { percent: [0, 1], positive: [0, 1], kappa: [-0.5, 1], ac1: [-0.5, 1] };

function figure(which: Figure, told: Coefficient | null): HTMLElement {
  const words = told === null ? AGREEMENT.cannotTell : SHARES.includes(which) ? AGREEMENT.share(told) : AGREEMENT.says(told);
  return h(
    "li",
    { class: "agreement-figure" },
    h("p", {}, h("strong", {}, AGREEMENT[which]), ": ", h("span", { class: "quality-hint" }, AGREEMENT.meaning[which])),
    told === null ? null : intervalBar({ words, interval: [told.low, told.high], value: told.value, scale: SCALE[which] }),
    h("p", {}, words),
  );
}

/** Return the figures. */
export function agreementFigures(told: Agreement): HTMLElement {
  return h("div", {}, h("p", {}, trees(told.trees)), h("ul", { class: "plain-list" }, ...FIGURES.map((which) => figure(which, told[which]))));
}
