/** Counts of sample trees on this device: new records, and the service's counts with own ones over them. */

import type { BlockCounts, CountedThing, CountLine, ShapeRow, TreeCount } from "./contracts";
import type { CountedTree } from "./count-estimate";
import type { Entry } from "./outbox";
import { onGround, type Ground, type Stamp } from "./records";
import { treeKey, type Tree } from "./sample-trees";

export const COUNTED_THINGS: readonly CountedThing[] = ["buds_before", "buds_after", "limbs", "buds_on_limb"];
export const MOST_COUNTED = 9_999;

export interface CountContext {
  seasonId: string;
  blockId: string;
  what: CountedThing;
  day: string;
  deviceId: string;
  recorderId: string | null;
  ground?: Ground;
}
export interface TreeFound extends Tree {
  /** Null takes back the count that is replaced. */
  number: number | null;
  /** Of the draw that proposed the tree; null for one that somebody chose. */
  seed: number | null;
  replacesId?: string;
}

/** Return the count of one tree. */
export function newTreeCount(context: CountContext, { row, position, number, seed, replacesId }: TreeFound, stamp: Stamp): TreeCount {
  return {
    id: stamp.id,
    season_id: context.seasonId,
    block_id: context.blockId,
    row,
    position,
    what: context.what,
    number,
    day: context.day,
    ...(context.recorderId === null ? {} : { recorder_id: context.recorderId }),
    ...(seed === null ? {} : { seed }),
    ...(replacesId === undefined ? {} : { replaces_id: replacesId }),
    device_id: context.deviceId,
    device_at: stamp.at,
    ...onGround(context.ground),
  };
}

function ownCounts(own: readonly Entry[]): TreeCount[] {
  return own.flatMap(({ record }) => ("what" in record ? [record] : []));
}

const isSame = (line: CountLine, count: TreeCount): boolean =>
  line[1] === count.row && line[2] === count.position && line[3] === count.what;

/**
 * Return the counts that stand: those of the service that no own one replaces, and own ones; `own` is what the service's
 * answer does not hold yet. A count replaces only one of the same thing on the same tree.
 */
export function standingLines(lines: readonly CountLine[], own: readonly Entry[]): CountLine[] {
  const counts = ownCounts(own);
  const there = new Set(lines.map(([id]) => id));
  // a take-back has no number yet: it is left out at the end, once it has replaced what it names
  const all: CountLine[] = [
    ...lines,
    ...counts.filter(({ id }) => !there.has(id)).map(lineOf),
  ];
  const of = new Map(all.map((line) => [line[0], line]));
  const replaced = new Set(
    counts.flatMap((count) => {
      const old = of.get(count.replaces_id ?? "");
      return old !== undefined && isSame(old, count) ? [old[0]] : [];
    }),
  );
  return all.filter(([id, , , , number]) => number !== null && !replaced.has(id));
}

function lineOf({ id, row, position, what, number, seed }: TreeCount): CountLine {
  return [id, row, position, what, number, seed !== undefined];
}

/** Return the lines that count in a season: what a device read in another one tells nothing of this one. */
export function linesOfSeason(counts: BlockCounts | null, seasonId: string): readonly CountLine[] {
  return counts !== null && counts.season_id === seasonId ? counts.lines : [];
}

/** Return what each tree has of a thing: the mean where it was counted more than once. Places where no tree stands are left out. */
export function countedTrees(standing: readonly CountLine[], what: CountedThing, rows: readonly ShapeRow[]): CountedTree[] {
  const rowOf = new Map(rows.map((row) => [row.n, row]));
  const found = new Map<string, { row: number; numbers: number[] }>();
  for (const [, row, position, of, number] of standing) {
    if (of !== what || number === null || !isTree(rowOf.get(row), position)) continue;
    const key = treeKey({ row, position });
    const known = found.get(key) ?? { row, numbers: [] };
    found.set(key, { row, numbers: [...known.numbers, number] });
  }
  return [...found.values()].map(({ row, numbers }) => ({
    row,
    number: numbers.reduce((sum, one) => sum + one, 0) / numbers.length,
  }));
}

/** Tell whether a tree of the block's variety stands at a position. */
export function isTree(row: ShapeRow | undefined, position: number): boolean {
  if (row === undefined || position < 1 || position > row.p) return false;
  return !(row.blanks?.includes(position) ?? false) && !(row.pollinizers?.includes(position) ?? false);
}

/** Return this device's last count of a thing that stands, for undoing it, or null. */
export function lastOwn(entries: readonly Entry[], block: string, seasonId: string, what: CountedThing): TreeCount | null {
  const own = ownCounts(entries.filter(({ state, subject }) => subject.block === block && state !== "refused" && state !== "set_aside"));
  const replaced = new Set(own.map(({ replaces_id }) => replaces_id));
  return own.filter((one) => one.season_id === seasonId && one.what === what && one.number !== null && !replaced.has(one.id)).at(-1) ?? null;
}
