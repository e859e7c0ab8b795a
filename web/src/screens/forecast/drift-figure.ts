/** What earlier evenings' forecasts said: a bar from 1 in 10 to 9 in 10 for each, and the same as a table. */

import "./burn-up.css";
import { DRIFT as SIZE, driftChart, type DriftChart } from "../../core/burn-up";
import { chanceText } from "../../core/finish-wording";
import type { Forecast } from "../../core/forecast-contracts";
import { CHART, DRIFT } from "../../core/forecast-wording";
import { h, s } from "../../ui/dom";
import { dayOrNever, plainTable, shortDay } from "./desk";

const LEFT = 74;
const { width, height } = SIZE;
const EDGE = 10;

function picture({ said, line, must_y, months, up }: DriftChart, alt: string): SVGElement {
  return s(
    "svg",
    { class: "chart drift", viewBox: `${-LEFT} -14 ${LEFT + width + EDGE + 4} ${height + 44}`, role: "img", "aria-label": alt },
    ...up.map(({ x: y, day }) =>
      s("g", {}, s("line", { class: "chart-grid", x1: 0, x2: width + EDGE, y1: y, y2: y }), s("text", { x: -8, y: y + 5, "text-anchor": "end" }, shortDay(day))),
    ),
    ...months.map(({ x, day }) => s("text", { x: Math.min(x, width - 50), y: height + 22 }, shortDay(day))),
    s("line", { class: "chart-axis", x1: 0, x2: width + EDGE, y1: height, y2: height }),
    must_y === null ? null : s("line", { class: "burn-up-stem-must", x1: 0, x2: width + EDGE, y1: must_y, y2: must_y }),
    ...said.map(({ x, low_y, high_y, isOpen }) =>
      s("path", { class: "drift-bar", d: `M${x - 5} ${low_y}h10M${x} ${low_y}V${high_y}${isOpen ? "m-5 6l5-6 5 6" : "m-5 0h10"}` }),
    ),
    s("polyline", { class: "drift-line", points: line }),
    ...said.map(({ x, likely_y }) => (likely_y === null ? null : s("circle", { class: "burn-up-dot drift-dot", cx: x, cy: likely_y, r: 5 }))),
  );
}

/** Return the chart, its words and its table; nothing where there are not two evenings to put beside each other. */
export function driftFigure(forecast: Forecast): HTMLElement | null {
  const chart = driftChart(forecast);
  const { earlier, scored, must_finish_on, trees_left } = forecast;
  const [first, last] = [earlier[0]?.[0], earlier.at(-1)?.[0]];
  if (chart === null || first === undefined || last === undefined) return null;
  const { columns } = DRIFT;
  const lines = earlier.map(([day, p10, p50, p90, chance]) => [dayOrNever(day), dayOrNever(p10), dayOrNever(p50), dayOrNever(p90), chanceText(chance)]);
  return h(
    "section",
    { class: "forecast-figure" },
    h("h2", {}, DRIFT.title),
    picture(chart, DRIFT.alt(shortDay(first), shortDay(last))),
    must_finish_on === null
      ? null
      : h(
          "p",
          { class: "forecast-key" },
          s("svg", { class: "forecast-sign", viewBox: "0 0 44 20", "aria-hidden": "true" }, s("line", { class: "burn-up-stem-must", x1: 2, x2: 42, y1: 10, y2: 10 })),
          CHART.labels.must(shortDay(must_finish_on)),
        ),
    h("p", { class: "forecast-small" }, DRIFT.note, scored === null ? "" : ` ${(trees_left === 0 ? DRIFT.scoredAtEnd : DRIFT.scored)(scored.issued, scored.inside)}`),
    h("details", {}, h("summary", {}, DRIFT.table), plainTable(DRIFT.table, [columns.said, columns.p10, columns.p50, columns.p90, columns.chance], lines)),
  );
}
