/** What every part of the screen of the forecast is given. */

import type { BlockSummary } from "../../core/contracts";
import type { Forecast, SeasonCalendar } from "../../core/forecast-contracts";
import { FORECAST } from "../../core/forecast-wording";
import { dayText, weekdayText } from "../../core/numbers";
import type { Reckoned, Standing } from "../../core/what-if";
import type { ForecastApi } from "../../data/forecast-api";
import { h } from "../../ui/dom";
import type { Context } from "../context";

export interface Desk {
  context: Context;
  api: ForecastApi;
  /** Says when the farm works and with whom; an adviser only reads. */
  isManager: boolean;
}
/** What was read for one drawing. */
export interface Reading {
  forecast: Forecast;
  blocks: readonly BlockSummary[];
  /** Null where there is no season yet. */
  calendar: SeasonCalendar | null;
  standing: Standing | null;
  reckoned: Reckoned;
}

/** Return a day that is near, or that it is never. */
export function dayOrNever(day: string | null): string {
  return day === null ? FORECAST.never : weekdayText(day);
}

/** Return a day as it stands in a chart: without its year. */
export function shortDay(day: string): string {
  return dayText(day).replace(/ \d{4}$/, "");
}

/** Return the name of a crew. */
export function crewName({ farm }: Context, id: string | null): string {
  if (id === null) return FORECAST.anybody;
  return farm.crews.find((crew) => crew.id === id)?.name ?? FORECAST.unknownCrew;
}

/** Return a table in a frame that scrolls, reachable by keyboard; the first cell of each line is its head. */
export function plainTable(label: string, heads: readonly string[], lines: readonly (readonly (string | Node)[])[]): HTMLElement {
  const line = ([first = "", ...cells]: readonly (string | Node)[]): HTMLElement =>
    h("tr", {}, h("th", { scope: "row" }, first), ...cells.map((cell) => h("td", {}, cell)));
  return h(
    "div",
    { class: "forecast-table", tabindex: 0, role: "region", "aria-label": label },
    h("table", {}, h("thead", {}, h("tr", {}, ...heads.map((head) => h("th", { scope: "col" }, head)))), h("tbody", {}, ...lines.map(line))),
  );
}
