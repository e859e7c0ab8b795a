/** The crew's day at knock-off: what it pruned, and the people and hours that are asked for. */

import type { BlockLog, CrewDay, Method, ShapeRow } from "./contracts";
import { treesIn } from "./coverage";
import type { MarkContext, Stamp } from "./records";

/** A mark of the crew on the day, wherever it was read from. */
export interface DayMark {
  id: string;
  block: string;
  row: number;
  first: number;
  last: number;
}
export interface DayWork {
  trees: number;
  rows: number;
  blocks: string[];
}
/** A crew-day as the service or the outbox has it. */
export type KeptCrewDay = Pick<CrewDay, "id" | "crew_id" | "day" | "people" | "hours" | "method"> & {
  replaces_id?: string | null;
  device_at?: string;
};

/** Return the crew's marks of a day in a block's log. */
export function marksOfDay(log: BlockLog, crewId: string, day: string): DayMark[] {
  return log.marks.flatMap(([id, row, first, last, crew, on]) =>
    on === day && log.crews[crew]?.id === crewId ? [{ id, block: log.id, row, first, last }] : [],
  );
}

/** Return the trees and rows that marks cover; what two of them cover counts once. */
export function dayWork(marks: readonly DayMark[], rowOf: (block: string, row: number) => ShapeRow | undefined): DayWork {
  const positions = new Map<string, { row: ShapeRow; there: Set<number>; block: string }>();
  for (const { block, row, first, last } of marks) {
    const shape = rowOf(block, row);
    if (shape === undefined) continue;
    const key = `${block} ${row}`;
    const one = positions.get(key) ?? { row: shape, there: new Set<number>(), block };
    for (let position = Math.max(1, first); position <= Math.min(last, shape.p); position += 1) one.there.add(position);
    positions.set(key, one);
  }
  let trees = 0;
  for (const { row, there } of positions.values()) {
    for (const position of there) trees += treesIn(row, { first: position, last: position });
  }
  return { trees, rows: positions.size, blocks: [...new Set([...positions.values()].map(({ block }) => block))] };
}

/** Return the entries of a crew's day that stand, in the order made: none that another one replaces. */
export function standingEntries(entries: readonly KeptCrewDay[], crewId: string, day: string): KeptCrewDay[] {
  const one = new Map(entries.filter((entry) => entry.crew_id === crewId && entry.day === day).map((entry) => [entry.id, entry]));
  const replaced = new Set([...one.values()].map(({ replaces_id }) => replaces_id ?? ""));
  // ids are made by time, so that the newest comes last
  return [...one.values()].filter(({ id }) => !replaced.has(id)).sort((a, b) => (a.id < b.id ? -1 : 1));
}

export interface Entered {
  people: number;
  hours: number;
  method: Method;
}
const USUAL_HOURS = 8;

/** Return what to begin with: the day's own entry, else the last one of the crew, else its size and a usual day. */
export function beginWith(
  own: KeptCrewDay | undefined,
  before: KeptCrewDay | undefined,
  crew: { people: number | readonly unknown[]; method: Method },
): Entered {
  const from = own ?? before;
  const size = typeof crew.people === "number" ? crew.people : crew.people.length;
  return {
    people: from?.people ?? Math.min(200, Math.max(1, size)),
    hours: from?.hours ?? USUAL_HOURS,
    method: from?.method ?? crew.method,
  };
}

/** Tell whether what is entered is what the day's one entry says: a second tap on "enter" corrects nothing. */
export function saysNothingNew(entries: readonly KeptCrewDay[], { people, hours, method }: Entered): boolean {
  const [only, ...more] = entries;
  return only !== undefined && more.length === 0 && only.people === people && only.hours === hours && only.method === method;
}

/** Return the record of a crew's day; `replaces` is the entry that it corrects. */
export function newCrewDay(
  context: Pick<MarkContext, "seasonId" | "crewId" | "day" | "deviceId" | "recorderId">,
  entered: Entered,
  replaces: string | null,
  stamp: Stamp,
): CrewDay {
  return {
    id: stamp.id,
    season_id: context.seasonId,
    crew_id: context.crewId,
    day: context.day,
    people: entered.people,
    hours: entered.hours,
    method: entered.method,
    ...(context.recorderId === null ? {} : { recorder_id: context.recorderId }),
    ...(replaces === null ? {} : { replaces_id: replaces }),
    device_id: context.deviceId,
    device_at: stamp.at,
  };
}

/** Return trees per person-hour; null when nobody worked or nothing is marked. */
export function pace(trees: number, { people, hours }: Pick<Entered, "people" | "hours">): number | null {
  const personHours = people * hours;
  return trees > 0 && personHours > 0 ? trees / personHours : null;
}

function shifted(day: string, by: number): string {
  const moment = new Date(`${day}T00:00:00Z`);
  moment.setUTCDate(moment.getUTCDate() + by);
  return moment.toISOString().slice(0, 10);
}

/** Return the day before an ISO day. */
export function dayBefore(day: string): string {
  return shifted(day, -1);
}

/** Return the day after an ISO day. */
export function dayAfter(day: string): string {
  return shifted(day, 1);
}
