/** Hours by person in a week: which days, what was typed in a cell, and the entries that save it. */

import type { HoursEntry, PersonHours } from "./pay-contracts";
import { typedNumber } from "./numbers";

const DAY_MS = 86_400_000;
const MOST_H = 24;

function moved(isoDay: string, days: number): string {
  return new Date(Date.parse(`${isoDay}T00:00:00Z`) + days * DAY_MS).toISOString().slice(0, 10);
}

/** Return a day some days later; earlier, where that is below 0. */
export function dayAfter(isoDay: string, days: number): string {
  return moved(isoDay, days);
}

/** Return how many days one day lies after another. */
export function daysBetween(first: string, last: string): number {
  return Math.round((Date.parse(`${last}T00:00:00Z`) - Date.parse(`${first}T00:00:00Z`)) / DAY_MS);
}

/** Return the seven days of the week that a day belongs to. `starts` is 0 for Monday. */
export function weekOf(isoDay: string, starts = 0): string[] {
  const weekday = (new Date(`${isoDay}T00:00:00Z`).getUTCDay() + 6) % 7;
  const first = moved(isoDay, -((weekday - starts + 7) % 7));
  return [0, 1, 2, 3, 4, 5, 6].map((n) => moved(first, n));
}

/** Days of a run, both included; of one crew, or of all. */
export interface RunSpan {
  first: string;
  last: string;
  crew_id: string | null;
}

/** Return the days that are offered to be paid next: from the last run of all crews to the end of that week; without one, or once today is paid, last week. */
export function daysToPay(today: string, runs: readonly RunSpan[], starts: number): [first: string, last: string] {
  const paid = runs.filter(({ crew_id }) => crew_id === null).map(({ last }) => last).sort().at(-1);
  const lastWeek = moved(today, -7);
  const first = paid === undefined || paid >= today ? weekOf(lastWeek, starts)[0] : moved(paid, 1);
  const begins = first ?? lastWeek;
  return [begins, weekOf(begins, starts).at(-1) ?? begins];
}

/** Return hours typed as 7.5, 7,5 or 7:30; 0 for nothing; null where they are none. */
export function typedHours(text: string): number | null {
  const clean = text.trim();
  if (clean === "") return 0;
  const clock = /^(\d{1,2}):([0-5]\d)$/.exec(clean);
  const hours = clock === null ? typedNumber(clean) : Number(clock[1]) + Number(clock[2]) / 60;
  return hours !== null && hours >= 0 && hours <= MOST_H ? Math.round(hours * 100) / 100 : null;
}

/** Return minutes of rest typed as a whole number; 0 for nothing; null where they are none. */
export function typedMinutes(text: string): number | null {
  const clean = text.trim();
  if (clean === "") return 0;
  return /^\d{1,4}$/.test(clean) && Number(clean) <= MOST_H * 60 ? Number(clean) : null;
}

export interface Cell {
  person_id: string;
  crew_id: string;
  day: string;
  hours: number;
  rest_minutes: number;
}

/** Return the entries that turn what stands into what was typed: only what changed, each naming what it corrects. */
export function changedHours(standing: readonly PersonHours[], cells: readonly Cell[], freshId: () => string): HoursEntry[] {
  return cells.flatMap((cell) => {
    const kept = standing.find((one) => one.person_id === cell.person_id && one.crew_id === cell.crew_id && one.day === cell.day);
    if ((kept?.hours ?? 0) === cell.hours && (kept?.rest_minutes ?? 0) === cell.rest_minutes) return [];
    return [{ id: freshId(), ...cell, replaces_id: kept?.id ?? null }];
  });
}
