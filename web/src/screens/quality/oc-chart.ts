/** The curve of a plan as a line, with a slider that reads it and a table that says the same. */

import { CHART, chanceAt, ocChart, type OcChart } from "../../core/quality-charts";
import type { LotPlan, OcPoint } from "../../core/quality-contracts";
import { CURVE } from "../../core/quality-wording";
import { inHundred, measure } from "../../core/numbers";
import { fieldId } from "../../ui/field";
import { h, s } from "../../ui/dom";
import { framedTable, line } from "./signs";

const LEFT = 52;
const FOOT = 52;
const TOP = 12;
/** The table tells so many shares at most. */
const TABLE_LINES = 13;

/** Return the shares that a plan speaks of: they stand on the curve as thin lines. */
export function promisedShares(plan: LotPlan): number[] {
  return plan.kind === "attributes" ? [plan.aql / 100] : [plan.p1, plan.p2];
}

function axes(chart: OcChart): SVGElement[] {
  return [
    ...chart.up.map(({ at, value }) =>
      s(
        "g",
        {},
        s("line", { class: "chart-grid", x1: 0, x2: CHART.width, y1: at, y2: at }),
        s("text", { x: -8, y: at + 5, "text-anchor": "end" }, measure(100 * value)),
      ),
    ),
    ...chart.across.map(({ at, value }) => s("text", { x: at, y: CHART.height + 21, "text-anchor": "middle" }, measure(100 * value))),
    s("line", { class: "chart-axis", x1: 0, x2: CHART.width, y1: CHART.height, y2: CHART.height }),
    s("text", { x: CHART.width / 2, y: CHART.height + 45, "text-anchor": "middle" }, CURVE.across),
  ];
}

/** Return the chart with what reads it. */
export function ocCurve(oc: readonly OcPoint[], plan: LotPlan): HTMLElement {
  const chart = ocChart(oc);
  const shares = promisedShares(plan);
  const dot = s("circle", { class: "curve-dot", r: 7 });
  const drop = s("line", { class: "curve-drop" });
  const picture = s(
    "svg",
    { class: "chart", viewBox: `${-LEFT} ${-TOP} ${LEFT + CHART.width + 12} ${TOP + CHART.height + FOOT}`, role: "img", "aria-label": CURVE.alt },
    ...axes(chart),
    ...shares.map((share) => s("line", { class: "curve-promise", x1: chart.x(share), x2: chart.x(share), y1: 0, y2: CHART.height })),
    s("polyline", { class: "curve-line", points: chart.line }),
    drop,
    dot,
  );
  const id = fieldId();
  const says = h("output", { class: "curve-says", for: id });
  const slider = h("input", { id, type: "range", min: 0, max: Math.round(1000 * chart.top), step: 1 });
  const read = (): void => {
    const share = Number(slider.value) / 1000;
    const chance = chanceAt(oc, share);
    const [x, y] = [chart.x(share), chart.y(chance)];
    for (const [name, value] of Object.entries({ cx: x, cy: y })) dot.setAttribute(name, String(value));
    for (const [name, value] of Object.entries({ x1: x, x2: x, y1: y, y2: CHART.height })) drop.setAttribute(name, String(value));
    says.textContent = CURVE.says(inHundred(share), measure(100 * chance));
    slider.setAttribute("aria-valuetext", says.textContent);
  };
  picture.addEventListener("pointermove", (event) => {
    const matrix = picture.getScreenCTM();
    if (matrix === null) return;
    const { x } = new DOMPoint(event.clientX, event.clientY).matrixTransform(matrix.inverse());
    slider.value = String(Math.round((1000 * chart.top * x) / CHART.width));
    read();
  });
  slider.addEventListener("input", read);
  slider.value = String(Math.round(1000 * (shares[0] ?? 0)));
  read();
  return h(
    "figure",
    { class: "quality-figure" },
    h("figcaption", {}, CURVE.title),
    h("p", { class: "chart-up" }, CURVE.up),
    picture,
    h("label", { class: "curve-label", for: id }, CURVE.read),
    slider,
    says,
    curveTable(oc),
  );
}

function curveTable(oc: readonly OcPoint[]): HTMLElement {
  const every = Math.max(1, Math.ceil((oc.length - 1) / (TABLE_LINES - 1)));
  const told = oc.filter((_, at) => at % every === 0);
  const lines = told.map(([share, chance]) => line(inHundred(share), measure(100 * chance)));
  return h("details", {}, h("summary", {}, CURVE.table), framedTable(CURVE.table, [CURVE.across, CURVE.up], lines));
}
