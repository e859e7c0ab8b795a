/** The chart of minima: frost, forecast and days of cuts differ by shape and dashes, so that no colour is needed. */

import { count, dayText, measure } from "../../core/numbers";
import { degrees, minimaChart, type CutDay, type MinimaChart, type WeatherDay } from "../../core/timing";
import { TIMING } from "../../core/timing-wording";
import { h, s } from "../../ui/dom";

const CUT_ROOM = 34;
const TOP_ROOM = 22;
/** Left of the days, where the line of minima does not come. */
const LABEL_ROOM = 44;

function line(chart: MinimaChart, y: number, kind: string): SVGElement {
  return s("line", { class: kind, x1: 0, x2: chart.width, y1: y, y2: y });
}

function picture(chart: MinimaChart, frost_c: number, alt: string): SVGElement {
  const foot = chart.height + CUT_ROOM;
  return s(
    "svg",
    {
      class: "minima",
      viewBox: `${-LABEL_ROOM} ${-TOP_ROOM} ${LABEL_ROOM + chart.width} ${foot + TOP_ROOM}`,
      role: "img",
      "aria-label": alt,
    },
    line(chart, chart.zero_y, "minima-zero"),
    s("text", { x: -6, y: chart.zero_y + 5, "text-anchor": "end" }, "0 °C"),
    line(chart, chart.frostLine_y, "minima-frost-line"),
    s("text", { x: 0, y: chart.frostLine_y - 5 }, TIMING.chartFrost(degrees(frost_c))),
    ...chart.months.map(({ x, day }) =>
      s(
        "g",
        {},
        s("line", { class: "minima-month", x1: x, x2: x, y1: 0, y2: chart.height }),
        s("text", { x: x + 4, y: -6 }, dayText(day).replace(/ \d{4}$/, "")),
      ),
    ),
    chart.today_x === null
      ? null
      : s(
          "g",
          {},
          s("line", { class: "minima-today", x1: chart.today_x, x2: chart.today_x, y1: 0, y2: foot }),
          s("text", { x: chart.today_x - 4, y: 12, "text-anchor": "end" }, TIMING.chartToday),
        ),
    ...chart.pieces.map(({ points, isForecast }) =>
      s("polyline", {
        class: isForecast ? "minima-line minima-forecast" : "minima-line",
        // a single day would be no line
        points: [...points, ...(points.length === 1 ? points : [])].map(([x, y]) => `${x.toFixed(1)},${y.toFixed(1)}`).join(" "),
      }),
    ),
    ...chart.frosts.map(([x, y]) => s("path", { class: "minima-frost", d: `M${x} ${y - 7}l7 7-7 7-7-7z` })),
    ...chart.cuts.map(({ x }) => s("line", { class: "minima-cut", x1: x, x2: x, y1: chart.height + 10, y2: foot - 4 })),
  );
}

function key(): HTMLElement {
  const sign = (...children: SVGElement[]): SVGElement =>
    s("svg", { class: "minima-sign", viewBox: "0 0 40 20", "aria-hidden": "true" }, ...children);
  const one = (picture: SVGElement, words: string): HTMLElement => h("li", {}, picture, words);
  return h(
    "ul",
    { class: "plain-list minima-key" },
    one(sign(s("line", { class: "minima-line", x1: 2, x2: 38, y1: 10, y2: 10 })), TIMING.key.measured),
    one(sign(s("line", { class: "minima-line minima-forecast", x1: 2, x2: 38, y1: 10, y2: 10 })), TIMING.key.forecast),
    one(sign(s("path", { class: "minima-frost", d: "M20 3l7 7-7 7-7-7z" })), TIMING.key.frost),
    one(sign(s("line", { class: "minima-cut", x1: 20, x2: 20, y1: 0, y2: 20 })), TIMING.key.cuts),
  );
}

function everyDay(days: readonly WeatherDay[], cuts: readonly CutDay[]): HTMLElement {
  const rows = new Map(cuts.map(({ day, rows: n }) => [day, n]));
  const { columns } = TIMING;
  const heads = [columns.day, columns.low, columns.high, columns.rain, columns.cut];
  return h(
    "details",
    {},
    h("summary", {}, TIMING.everyDay),
    h(
      "div",
      { class: "timing-table", tabindex: 0, role: "region", "aria-label": TIMING.everyDay },
      h(
        "table",
        {},
        h("thead", {}, h("tr", {}, ...heads.map((head) => h("th", { scope: "col" }, head)))),
        h(
          "tbody",
          {},
          ...days.map((one) =>
            h(
              "tr",
              {},
              h("th", { scope: "row" }, one.is_forecast ? TIMING.forecastMark(dayText(one.day)) : dayText(one.day)),
              h("td", {}, degrees(one.tmin_c)),
              h("td", {}, degrees(one.tmax_c)),
              h("td", {}, one.rain_mm === null ? TIMING.notTold : measure(one.rain_mm)),
              h("td", {}, rows.has(one.day) ? count(rows.get(one.day) ?? 0) : ""),
            ),
          ),
        ),
      ),
    ),
  );
}

/** Return the chart with its key and the same as a table; nothing where no day is loaded. */
export function minimaFigure(days: readonly WeatherDay[], cuts: readonly CutDay[], frost_c: number, today: string): HTMLElement[] {
  const chart = minimaChart(days, cuts, frost_c, today);
  const [first, last] = [days[0], days.at(-1)];
  if (chart === null || first === undefined || last === undefined) return [];
  const low = degrees(Math.min(...days.map(({ tmin_c }) => tmin_c)));
  const alt = TIMING.chartAlt(dayText(first.day), dayText(last.day), low, chart.frosts.length);
  return [
    h("figure", { class: "timing-figure" }, h("figcaption", {}, TIMING.chart), picture(chart, frost_c, alt), key()),
    everyDay(days, cuts),
  ];
}
