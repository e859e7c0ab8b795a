/** The trees of a season day by day, as the service tells them once: a replay asks it nothing more. */

export interface SeasonSpan {
  id: string;
  name: string;
  opens_on: string;
  must_finish_on: string;
}
/** Days, blocks and crews are named by their places in the lists. */
export interface SeasonDays {
  farm_id: string;
  cursor: number;
  epoch: string;
  season: SeasonSpan;
  before: SeasonSpan | null;
  today: string;
  days: string[];
  blocks: [id: string, trees: number][];
  crews: string[];
  pruned: [day: number, block: number, trees: number][];
  /** A tree of two crews is shared evenly. */
  credited: [day: number, block: number, crew: number, trees: number][];
}
/** Of all blocks, or of some; of all crews, or of one. */
export interface Part {
  blocks: ReadonlySet<string> | null;
  crew: string | null;
}
export const WHOLE: Part = { blocks: null, crew: null };
export type DayTotal = [day: string, trees: number];

/** Return each day, block and trees of a part. */
function* worked({ days, blocks, crews, pruned, credited }: SeasonDays, part: Part): Generator<[string, string, number]> {
  const crew = part.crew === null ? -1 : crews.indexOf(part.crew);
  const lines: Iterable<[number, number, number]> =
    part.crew === null ? pruned : credited.filter((line) => line[2] === crew).map(([day, block, , trees]) => [day, block, trees] as [number, number, number]);
  for (const [day, block, trees] of lines) {
    const id = blocks[block]?.[0] ?? "";
    if (part.blocks === null || part.blocks.has(id)) yield [days[day] ?? "", id, trees];
  }
}

/** Return the trees of each block that were pruned by the end of a day; blocks without any are left out. */
export function prunedBy(season: SeasonDays, day: string, part: Part): Map<string, number> {
  const found = new Map<string, number>();
  for (const [of, block, trees] of worked(season, part)) if (of <= day) found.set(block, (found.get(block) ?? 0) + trees);
  return found;
}

/** Return what was pruned in all by the end of each day worked, up to a day. */
export function soFar(season: SeasonDays, until: string, part: Part): DayTotal[] {
  const byDay = new Map<string, number>();
  for (const [day, , trees] of worked(season, part)) if (day <= until) byDay.set(day, (byDay.get(day) ?? 0) + trees);
  let total = 0;
  return [...byDay].sort(([a], [b]) => (a < b ? -1 : 1)).map(([day, trees]) => [day, (total += trees)]);
}

/** Return the last day by then on which anything of a part's blocks was pruned, by whatever crew; null where none is known. */
export function lastDay(season: SeasonDays | null, until: string, { blocks }: Part): string | null {
  return season === null ? null : (soFar(season, until, { blocks, crew: null }).at(-1)?.[0] ?? null);
}

/** Days worked that a pace is the mean of, at most. */
const RECENT = 10;

/** Return the mean trees of a day over the last days worked; null before any. */
export function recentPace(line: readonly DayTotal[]): { perDay: number; days: number } | null {
  const last = line.at(-1);
  if (last === undefined) return null;
  const days = Math.min(RECENT, line.length);
  const before = line.at(-1 - days)?.[1] ?? 0;
  return { perDay: Math.round((last[1] - before) / days), days };
}

/** Return each block's own pace: trees of a day on which it was worked, over the last such days up to a day. */
export function blockPaces(season: SeasonDays, until: string, part: Part): Map<string, number> {
  const lines = new Map<string, Map<string, number>>();
  for (const [day, block, trees] of worked(season, part)) {
    if (day > until) continue;
    const line = lines.get(block) ?? new Map<string, number>();
    line.set(day, (line.get(day) ?? 0) + trees);
    lines.set(block, line);
  }
  return new Map([...lines].map(([block, line]) => {
    const last = [...line].sort(([a], [b]) => (a < b ? 1 : -1)).slice(0, RECENT);
    return [block, Math.round(last.reduce((sum, [, trees]) => sum + trees, 0) / last.length)];
  }));
}

/** Return the day so many days after another, or before it. */
export function dayOn(day: string, by: number): string {
  const at = new Date(`${day}T00:00:00Z`);
  at.setUTCDate(at.getUTCDate() + by);
  return at.toISOString().slice(0, 10);
}

/** Return the same calendar day a year earlier; of 29 February the 28th. */
export function yearBefore(day: string): string {
  return shifted(day, -1);
}

/** Return the same calendar day in another year, so many years on. */
function shifted(day: string, years: number): string {
  const [year = "", month = "", of = ""] = day.split("-");
  const there = `${String(Number(year) + years).padStart(4, "0")}-${month}-`;
  return there + (month === "02" && of === "29" ? "28" : of);
}

/** Return a season's line as if it had been so many years later, to be drawn beside another one. */
export function yearsOn(line: readonly DayTotal[], years: number): DayTotal[] {
  return line.map(([day, trees]) => [shifted(day, years), trees]);
}
