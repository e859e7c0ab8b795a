/** The season's calendar as a form has it: days of the week, months, and what of a typed one cannot be. */

import type { SeasonCalendar } from "./forecast-contracts";
import { language } from "./language";
import { typedMeasure } from "./typed-measure";

/** A Monday. */
const MONDAY_MS = Date.UTC(2024, 0, 1);
const DAY_MS = 86_400_000;
export const SATURDAY = 5;

/** Return the names of the days of the week, Monday first. */
export function weekdayNames(): string[] {
  const names = new Intl.DateTimeFormat(language(), { weekday: "long", timeZone: "UTC" });
  return Array.from({ length: 7 }, (_, at) => names.format(MONDAY_MS + at * DAY_MS));
}

/** Return the name of a month, 0 for January. */
export function monthName(month: number): string {
  return new Intl.DateTimeFormat(language(), { month: "long", timeZone: "UTC" }).format(Date.UTC(2024, month, 1));
}

/** Return the months that a season goes through, 0 for January, in its order, with one more for when it comes late. */
export function seasonMonths(opens: string, mustFinish: string): number[] {
  const monthsOf = (day: string): number => 12 * Number(day.slice(0, 4)) + Number(day.slice(5, 7)) - 1;
  const length = Math.min(12, monthsOf(mustFinish) - monthsOf(opens) + 2);
  return Array.from({ length: Math.max(1, length) }, (_, at) => (monthsOf(opens) + at) % 12);
}

/** Return the same days of the week with one of them worked or not. */
export function withWeekday(weekdays: string, at: number, isWorked: boolean): string {
  return weekdays.slice(0, at) + (isWorked ? "1" : "0") + weekdays.slice(at + 1);
}

/** Return how many days of a week are worked. */
export function daysAWeek(weekdays: string): number {
  return [...weekdays].filter((one) => one === "1").length;
}

/** What a form holds, as typed. */
export interface TypedCalendar {
  weekdays: string;
  hours: string;
  pace: string;
  daylight: boolean;
  /** By month, 0 for January; months that are not asked stay as they were. */
  lost: ReadonlyMap<number, string>;
  daysOff: readonly { day: string; name: string }[];
}
export type CalendarField = "weekdays" | "hours" | "pace" | "days_off" | `lost-${number}`;

export const MOST_HOURS = 24;
export const MOST_LOST = 95;
export const MOST_PACE = 1_000;

/** Return the calendar typed instead of one that is kept, or the fields that say nothing that can be. */
export function typedCalendar(kept: SeasonCalendar, typed: TypedCalendar): { calendar: SeasonCalendar } | { wrong: CalendarField[] } {
  const wrong: CalendarField[] = [];
  const number = (text: string, field: CalendarField, isWell: (value: number) => boolean): number => {
    const value = typedMeasure(text);
    if (value !== null && isWell(value)) return value;
    wrong.push(field);
    return NaN;
  };
  if (daysAWeek(typed.weekdays) === 0) wrong.push("weekdays");
  const hours_per_day = number(typed.hours, "hours", (value) => value > 0 && value <= MOST_HOURS);
  const expected_pace = typed.pace.trim() === "" ? null : number(typed.pace, "pace", (value) => value > 0 && value <= MOST_PACE);
  const lost_percent = kept.lost_percent.map((before, month) => {
    const text = typed.lost.get(month);
    return text === undefined ? before : number(text, `lost-${month}`, (value) => value >= 0 && value <= MOST_LOST);
  });
  const days_off = typed.daysOff.filter(({ day, name }) => day !== "" || name.trim() !== "");
  const days = days_off.map(({ day }) => day);
  if (days.includes("") || new Set(days).size < days.length) wrong.push("days_off");
  if (wrong.length > 0) return { wrong };
  const { season_id } = kept;
  const { weekdays, daylight: respects_daylight } = typed;
  return { calendar: { season_id, weekdays, hours_per_day, days_off, lost_percent, expected_pace, respects_daylight } };
}
