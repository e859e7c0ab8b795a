/** Several farms on one sheet: which varieties and weeks stand beside which. Pure. */

import type { FarmWork, VarietyWork, WeekWork } from "./farms-contracts";

export interface VarietyLine {
  key: string;
  name: string;
  /** Of each farm, in the order of the farms; null where it does not grow there. */
  of: readonly (VarietyWork | null)[];
}

/** Return the varieties, those that grow on the most farms first: what can be compared. */
export function varietyLines(farms: readonly Pick<FarmWork, "varieties">[]): VarietyLine[] {
  const names = new Map(farms.flatMap(({ varieties }) => varieties.map(({ key, name }) => [key, name] as const)));
  const lines = [...names].map(([key, name]) => ({ key, name, of: farms.map(({ varieties }) => varieties.find((one) => one.key === key) ?? null) }));
  const shared = ({ of }: VarietyLine): number => of.filter((one) => one !== null).length;
  return lines.sort((a, b) => shared(b) - shared(a) || a.name.localeCompare(b.name));
}

export interface WeekLine {
  monday: string;
  of: readonly (WeekWork | null)[];
}
const WEEK_MS = 7 * 86_400_000;

/** Return each week from the first in which any farm worked to the last, the newest first; of one variety, or of all where `key` is null. */
export function weekLines(farms: readonly Pick<FarmWork, "weeks">[], key: string | null): WeekLine[] {
  const told = farms.map(({ weeks }) => new Map(weeks.filter((one) => one.key === key).map((one) => [one.monday, one])));
  const mondays = told.flatMap((weeks) => [...weeks.keys()]).sort();
  const [first, last] = [mondays[0], mondays.at(-1)];
  if (first === undefined || last === undefined) return [];
  const lines: WeekLine[] = [];
  for (let at = Date.parse(last); at >= Date.parse(first); at -= WEEK_MS) {
    const monday = new Date(at).toISOString().slice(0, 10);
    lines.push({ monday, of: told.map((weeks) => weeks.get(monday) ?? null) });
  }
  return lines;
}
