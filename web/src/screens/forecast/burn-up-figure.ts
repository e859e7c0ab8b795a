/** The burn-up chart with its fan: lines differ by form, so that no colour is needed; and the same as a table. */

import { BURN_UP, burnUpChart, labelRows, type BurnUpChart } from "../../core/burn-up";
import type { Forecast } from "../../core/forecast-contracts";
import { burnUpAlt, CHART } from "../../core/forecast-wording";
import { count, weekdayText } from "../../core/numbers";
import type { DayTotal } from "../../core/season-days";
import { h, s } from "../../ui/dom";
import "./burn-up.css";
import { plainTable, shortDay } from "./desk";

const LEFT = 74;
const FOOT = 28;
const LABEL_HEIGHT = 22;
const { width, height } = BURN_UP;

type LabelName = keyof typeof CHART.labels;

function labels(chart: BurnUpChart, { finish, must_finish_on }: BurnUpTold): { drawn: SVGElement[]; rows: number } {
  const days: [LabelName, string | null | undefined][] = [["must", must_finish_on], ["p10", finish?.p10], ["p50", finish?.p50], ["p90", finish?.p90]];
  const told = days.flatMap(([name, day]) => (day == null ? [] : [{ name, day, x: chart.x(day), letters: CHART.labels[name](shortDay(day)).length + 2 }]));
  const placed = labelRows(told, width);
  const y = (row: number): number => -LABEL_HEIGHT * (row + 0.6);
  const stems = placed.map(({ name, x, row }) =>
    s(
      "g",
      { class: `burn-up-${name}` },
      s("line", { class: "burn-up-stem", x1: x, x2: x, y1: y(row) - 8, y2: name === "must" ? height : 0 }),
      name === "must" ? null : s("circle", { class: "burn-up-dot", cx: x, cy: 0, r: name === "p50" ? 6 : 4.5 }),
    ),
  );
  // over all stems, so that none goes through a word
  const words = placed.map(({ name, day, x, row, anchor }) =>
    s(
      "text",
      { class: `burn-up-word burn-up-${name}`, x: anchor === "end" ? x - 7 : x + 7, y: y(row) + 4, "text-anchor": anchor },
      CHART.labels[name](shortDay(day)),
    ),
  );
  return { drawn: [...stems, ...words], rows: Math.max(0, ...placed.map(({ row }) => row + 1)) };
}

function ground(chart: BurnUpChart): SVGElement[] {
  return [
    ...chart.up.map(({ at, value }) =>
      s("g", {}, s("line", { class: "chart-grid", x1: 0, x2: width, y1: at, y2: at }), s("text", { x: -8, y: at + 5, "text-anchor": "end" }, count(value))),
    ),
    ...chart.months.map(({ x, day }) =>
      s("g", {}, s("line", { class: "chart-grid", x1: x, x2: x, y1: 0, y2: height }), s("text", { x: Math.min(x, width - 50) + 3, y: height + 20 }, shortDay(day))),
    ),
    s("line", { class: "chart-axis", x1: 0, x2: width, y1: height, y2: height }),
    s("line", { class: "burn-up-all", x1: 0, x2: width, y1: chart.all_y, y2: chart.all_y }),
  ];
}

function picture(chart: BurnUpChart, forecast: BurnUpTold, alt: string): SVGElement {
  const { drawn, rows } = labels(chart, forecast);
  const top = LABEL_HEIGHT * rows + 14;
  const { fan, straight, before } = chart;
  return s(
    "svg",
    { class: "chart burn-up", viewBox: `${-LEFT} ${-top} ${LEFT + width + 10} ${top + height + FOOT}`, role: "img", "aria-label": alt },
    ...ground(chart),
    fan && s("polygon", { class: "burn-up-fan", points: fan.outline }),
    fan && s("polyline", { class: "burn-up-edge", points: fan.low }),
    fan && s("polyline", { class: "burn-up-edge", points: fan.high }),
    straight && s("line", { class: "burn-up-straight", x1: straight.from[0], y1: straight.from[1], x2: straight.to[0], y2: straight.to[1] }),
    fan && s("polyline", { class: "burn-up-likely", points: fan.likely }),
    before !== "" && s("polyline", { class: "burn-up-before", points: before }),
    s("polyline", { class: "burn-up-pruned", points: chart.pruned }),
    ...drawn,
  );
}

/** Return the signs of the lines with their words. */
function key({ fan: hasFan, straight: hasStraight, before }: BurnUpChart): HTMLElement {
  const one = (name: string, words: string): HTMLElement =>
    h("li", {}, s("svg", { class: "forecast-sign", viewBox: "0 0 44 20", "aria-hidden": "true" }, ...signOf(name)), words);
  const across = (name: string): SVGElement => s("line", { class: name, x1: 2, x2: 42, y1: 10, y2: 10 });
  const signOf = (name: string): SVGElement[] =>
    name === "fan"
      ? [s("rect", { class: "burn-up-fan", x: 2, y: 3, width: 40, height: 14 }), s("path", { class: "burn-up-edge", d: "M2 3h40M2 17h40" })]
      : [across(`burn-up-${name}`)];
  const { pruned, likely, fan, must, straight } = CHART.key;
  return h(
    "ul",
    { class: "plain-list forecast-key" },
    one("pruned", pruned),
    hasFan && one("likely", likely),
    hasFan && one("fan", fan),
    one("stem-must", must),
    hasStraight && one("straight", straight),
    before !== "" && one("before", CHART.key.before),
  );
}

function everyDay({ burnup, fan }: BurnUpTold): HTMLElement {
  const { columns } = CHART;
  const lines = [
    ...burnup.map(([day, n]) => [weekdayText(day), count(n), "", "", ""]),
    ...fan.slice(1).map(([day, ...of]) => [weekdayText(day), "", ...of.map(count)]),
  ];
  const heads = [columns.day, columns.pruned, columns.p10, columns.p50, columns.p90];
  return h("details", {}, h("summary", {}, CHART.everyDay), plainTable(CHART.everyDay, heads, lines));
}

/** What the chart is drawn of. */
export type BurnUpTold = Pick<Forecast, "trees" | "pruned" | "burnup" | "fan" | "straight_line" | "must_finish_on" | "day" | "finish">;

/** Return the chart with its key and the same as a table; nothing where no day is known. `before` is last season's line, a year on. */
export function burnUpFigure(forecast: BurnUpTold, before: readonly DayTotal[] = []): HTMLElement | null {
  const chart = burnUpChart(forecast, before);
  if (chart === null) return null;
  const { trees, straight_line } = forecast;
  return h(
    "section",
    { class: "forecast-figure" },
    h("h2", {}, CHART.title),
    h("p", { class: "forecast-small" }, CHART.all(trees)),
    picture(chart, forecast, burnUpAlt(forecast)),
    key(chart),
    straight_line === null ? null : h("p", { class: "forecast-small" }, CHART.straight(shortDay(straight_line))),
    everyDay(forecast),
  );
}
