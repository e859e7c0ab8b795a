/** What a lot would be by the plan: trees, how many may be faulty, what that lets pass, and the button that draws it. */

import type { PlannedLot } from "../../core/quality-contracts";
import { LOTS, NEW_LOT } from "../../core/quality-wording";
import { h } from "../../ui/dom";
import { ocCurve } from "./oc-chart";
import { paragraphs } from "./signs";

/** Return it; `draw` is told to draw the lot. */
export function plannedLot(planned: PlannedLot, draw: (button: HTMLButtonElement) => void): HTMLElement[] {
  const { lot_trees, rows, n, accept, reject, plan, plan_words, severity, severity_words, oc, risks, from_day, until_day } = planned;
  const checked = Math.min(n, lot_trees);
  const button = h("button", { type: "button", class: "main" }, NEW_LOT.draw(checked + planned.extra));
  button.addEventListener("click", () => draw(button));
  return [
    h(
      "div",
      { class: "plan-figures" },
      h("p", { class: "plan-figure" }, NEW_LOT.check(checked)),
      h("p", {}, NEW_LOT.accept(accept)),
      h("p", {}, NEW_LOT.reject(reject)),
    ),
    ...(n >= lot_trees ? [h("p", {}, NEW_LOT.every)] : []),
    h("p", {}, NEW_LOT.inLot(lot_trees, rows), " ", LOTS.work(from_day, until_day)),
    ...paragraphs([plan_words, severity === "normal" ? "" : severity_words]),
    h("div", { class: "line-buttons" }, button),
    h("h3", {}, NEW_LOT.risks),
    ...paragraphs(risks),
    ocCurve(oc, plan),
  ];
}
