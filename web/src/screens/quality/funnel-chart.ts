/** The funnel of crews: lines for what chance explains, a point with its name for each crew. */

import { count, inHundred, measure } from "../../core/numbers";
import { CHART, funnelChart } from "../../core/quality-charts";
import type { FarmCrewQuality } from "../../core/crew-contracts";
import { CREWS } from "../../core/quality-areas-wording";
import { h, s } from "../../ui/dom";

const LEFT = 52;
const FOOT = 52;
const TOP = 14;
const RIGHT = 16;

function key(share: number): HTMLElement {
  const sign = (kind: string): SVGElement =>
    s("svg", { class: "chart-sign", viewBox: "0 0 40 12", "aria-hidden": "true" }, s("line", { class: kind, x1: 0, x2: 40, y1: 6, y2: 6 }));
  const one = (kind: string, words: string): HTMLElement => h("li", {}, sign(kind), words);
  return h(
    "ul",
    { class: "plain-list chart-key" },
    one("funnel-middle", CREWS.key.middle(inHundred(share))),
    one("funnel-near", CREWS.key.near),
    one("funnel-far", CREWS.key.far),
  );
}

/** Return the chart; null where there is nothing to draw. */
export function funnelPicture(told: FarmCrewQuality): HTMLElement | null {
  const chart = funnelChart(told);
  if (chart === null || told.faulty_share === null) return null;
  const picture = s(
    "svg",
    { class: "chart", viewBox: `${-LEFT} ${-TOP} ${LEFT + CHART.width + RIGHT} ${TOP + CHART.height + FOOT}`, role: "img", "aria-label": CREWS.alt },
    ...chart.up.map(({ at, value }) =>
      s("g", {}, s("line", { class: "chart-grid", x1: 0, x2: CHART.width, y1: at, y2: at }), s("text", { x: -8, y: at + 5, "text-anchor": "end" }, measure(100 * value))),
    ),
    ...chart.across.map(({ at, value }) => s("text", { x: at, y: CHART.height + 21, "text-anchor": "middle" }, count(value))),
    s("text", { x: CHART.width / 2, y: CHART.height + 45, "text-anchor": "middle" }, CREWS.across),
    s("line", { class: "chart-axis", x1: 0, x2: CHART.width, y1: CHART.height, y2: CHART.height }),
    ...chart.far.map((points) => s("polyline", { class: "funnel-far", points })),
    ...chart.near.map((points) => s("polyline", { class: "funnel-near", points })),
    s("line", { class: "funnel-middle", x1: 0, x2: CHART.width, y1: chart.middle_y, y2: chart.middle_y }),
    ...chart.crews.map(({ x, y, crew, share, label }) =>
      s(
        "g",
        {},
        s("title", {}, CREWS.point(crew.crew, crew.checked, inHundred(share))),
        s("circle", { class: "funnel-crew", cx: x, cy: y, r: 7 }),
        s("text", { class: "funnel-name", x: label.x, y: label.y, "text-anchor": label.anchor }, crew.crew),
      ),
    ),
  );
  return h(
    "figure",
    { class: "quality-figure" },
    h("figcaption", {}, CREWS.chart),
    h("p", { class: "chart-up" }, CREWS.up),
    picture,
    key(told.faulty_share),
  );
}
