/** The geometry of the burn-up chart and of what earlier forecasts said. Units are those of the picture. */

import type { EarlierForecast, Forecast } from "./forecast-contracts";
import { dayBefore } from "./knock-off";
import { roundTicks, type Tick } from "./quality-charts";
import type { DayTotal } from "./season-days";
import { daysAfter } from "./timing";

export const BURN_UP = { width: 720, height: 300 } as const;
export const DRIFT = { width: 460, height: 190 } as const;

type Point = readonly [x: number, y: number];

function points(line: readonly Point[]): string {
  return line.map(([x, y]) => `${x.toFixed(1)},${y.toFixed(1)}`).join(" ");
}

/** A day that stands above the chart, lower rows first; names that would run into each other stand in rows of their own. */
export interface DayLabel<Name extends string> {
  name: Name;
  day: string;
  x: number;
  row: number;
  anchor: "start" | "end";
}
const LETTER_WIDTH = 8;
const GAP = 14;

/** Give each day a row for its words, about as wide as their letters; at the right edge they stand to the left. */
export function labelRows<Name extends string>(
  days: readonly { name: Name; day: string; x: number; letters: number }[],
  width: number,
): DayLabel<Name>[] {
  const taken: { left: number; right: number }[][] = [];
  return [...days]
    .sort((a, b) => b.x - a.x)
    .map(({ name, day, x, letters }) => {
      const wide = letters * LETTER_WIDTH;
      const anchor = x + wide > width ? "end" : "start";
      const [left, right] = anchor === "end" ? [x - wide, x] : [x, x + wide];
      let row = 0;
      while (taken[row]?.some((other) => other.left < right + GAP && left < other.right + GAP)) row += 1;
      (taken[row] ??= []).push({ left, right });
      return { name, day, x, row, anchor };
    });
}

export interface Month {
  x: number;
  day: string;
}

/** Return the first day of each month from one day to another. */
export function monthsBetween(first: string, last: string): string[] {
  const found: string[] = [];
  const at = new Date(`${first.slice(0, 7)}-01T00:00:00Z`);
  for (let day = first.slice(0, 7) + "-01"; day <= last; day = at.toISOString().slice(0, 10)) {
    if (day >= first) found.push(day);
    at.setUTCMonth(at.getUTCMonth() + 1);
  }
  return found;
}

export interface BurnUpChart {
  first: string;
  last: string;
  /** What is pruned, by day. */
  pruned: string;
  /** The outline of what is to come, and its three lines. */
  fan: { outline: string; low: string; likely: string; high: string } | null;
  /** The straight line through the mean of all days so far; where it would end beyond the picture it is cut there. */
  straight: { from: Point; to: Point } | null;
  /** What was pruned in the season before by the same calendar days, as far as the picture goes; empty without one. */
  before: string;
  must_x: number | null;
  today_x: number | null;
  all_y: number;
  up: Tick[];
  months: Month[];
  x(day: string): number;
  y(trees: number): number;
}
/** A straight line may lead years ahead: the picture ends so many of its widths after what else it shows. */
const STRAIGHT_ROOM = 1.35;

type BurnUpGiven = Pick<Forecast, "trees" | "burnup" | "fan" | "straight_line" | "must_finish_on" | "day">;

/** Return the chart; null where there is no day to draw. */
export function burnUpChart({ trees, burnup, fan, straight_line, must_finish_on, day }: BurnUpGiven, before: readonly DayTotal[] = []): BurnUpChart | null {
  const begun = burnup[0]?.[0];
  // the day before the first one worked: nothing was pruned then
  const done: (readonly [string, number])[] = begun === undefined ? [] : [[dayBefore(begun), 0], ...burnup];
  const days = [...done.map(([one]) => one), ...fan.map(([one]) => one)].sort();
  const first = days[0];
  if (first === undefined || trees <= 0) return null;
  const known = [...days, must_finish_on ?? first].sort().at(-1) ?? first;
  const room = Math.ceil(STRAIGHT_ROOM * daysAfter(first, known));
  const isNear = straight_line !== null && daysAfter(first, straight_line) <= room;
  const last = isNear && straight_line > known ? straight_line : known;
  const span = Math.max(1, daysAfter(first, last));
  const x = (one: string): number => (BURN_UP.width * daysAfter(first, one)) / span;
  const y = (n: number): number => BURN_UP.height * (1 - n / trees);
  const line = (at: 1 | 2 | 3): Point[] => fan.map((one) => [x(one[0]), y(one[at])]);
  const [low, likely, high] = [line(1), line(2), line(3)];
  const now = fan[0] === undefined ? undefined : ([x(fan[0][0]), y(fan[0][1])] as const);
  return {
    first,
    last,
    pruned: points(done.map(([one, n]) => [x(one), y(n)])),
    fan:
      fan.length === 0
        ? null
        : { outline: points([...low, ...high.reverse()]), low: points(low), likely: points(likely), high: points(line(3)) },
    straight: now === undefined || straight_line === null ? null : { from: now, to: cut(now, [x(straight_line), 0]) },
    before: points(before.filter(([one, n]) => one >= first && one <= last && n <= trees).map(([one, n]) => [x(one), y(n)])),
    must_x: must_finish_on === null ? null : x(must_finish_on),
    today_x: day >= first && day <= last ? x(day) : null,
    all_y: y(trees),
    up: roundTicks(trees, 4).map((value) => ({ value, at: y(value) })),
    months: monthsBetween(first, last).map((one) => ({ day: one, x: x(one) })),
    x,
    y,
  };
}

/** Return the end of a line, or where it leaves the picture at the right. */
function cut([x, y]: Point, [toX, toY]: Point): Point {
  if (toX <= BURN_UP.width) return [toX, toY];
  return [BURN_UP.width, y + ((toY - y) * (BURN_UP.width - x)) / (toX - x)];
}

/** What one evening's forecast said: likely, and from 1 in 10 to 9 in 10. */
export interface Said {
  day: string;
  x: number;
  low_y: number;
  likely_y: number | null;
  high_y: number;
  /** It says never, at least 1 time in 10: its line runs out of the picture. */
  isOpen: boolean;
}
export interface DriftChart {
  said: Said[];
  /** Joins the likely days. */
  line: string;
  must_y: number | null;
  months: Month[];
  /** First days of months, up the side: days on which it may be finished. */
  up: Month[];
}

/** Return what earlier forecasts said beside the one of now, by the evening; null where there are not two of them. */
export function driftChart({ earlier, finish, chance, fan, must_finish_on }: Forecast): DriftChart | null {
  const now: EarlierForecast[] = finish === null || fan[0] === undefined ? [] : [[fan[0][0], finish.p10, finish.p50, finish.p90, chance ?? 0]];
  const all = [...earlier, ...now];
  const [from, to] = [all[0]?.[0], all.at(-1)?.[0]];
  const told = [...all.flatMap(([, ...days]) => days.filter((one) => typeof one === "string")), ...(must_finish_on === null ? [] : [must_finish_on])].sort();
  const [soonest, latest] = [told[0], told.at(-1)];
  if (from === undefined || to === undefined || from === to || soonest === undefined || latest === undefined) return null;
  const x = (day: string): number => (DRIFT.width * daysAfter(from, day)) / daysAfter(from, to);
  const y = (day: string): number => DRIFT.height * (1 - (daysAfter(soonest, day) + 1) / (daysAfter(soonest, latest) + 2));
  const said = all.flatMap(([day, p10, p50, p90]): Said[] =>
    p10 === null
      ? []
      : [{ day, x: x(day), low_y: y(p10), likely_y: p50 === null ? null : y(p50), high_y: p90 === null ? 0 : y(p90), isOpen: p90 === null }],
  );
  return {
    said,
    line: points(said.flatMap((one): Point[] => (one.likely_y === null ? [] : [[one.x, one.likely_y]]))),
    must_y: must_finish_on === null ? null : y(must_finish_on),
    months: monthsBetween(from, to).map((day) => ({ day, x: x(day) })),
    up: monthsBetween(soonest, latest).map((day) => ({ day, x: y(day) })),
  };
}
