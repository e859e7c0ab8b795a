/**
 * Which rows a position of the tablet may mean: how near they lie, weighed by the order in which a crew works.
 *
 * A satellite position is off by as much as two rows are apart, so this only narrows the list; a number or a row-end
 * code decides. Positions are looked at and forgotten.
 */

import type { BlockShape, Lonlat, ShapeRow } from "./contracts";

export interface Fix {
  lonlat: Lonlat;
  /** The radius that the device names, in metres. */
  accuracy_m: number;
}
export interface Guess {
  row: number;
  distance_m: number;
  /** How likely this row is among the rows of the block, 0 to 1. */
  share: number;
}
type Xy = readonly [number, number];
export interface RowLine {
  n: number;
  lines: readonly (readonly Xy[])[];
}

const METRES_PER_DEGREE = 111_320;
/**
 * A device's radius r holds the true place 68 times in 100 (Android's meaning; the W3C's 95 would make r mean less error):
 * on each axis the error is then r / sqrt(-2 ln 0.32) metres.
 */
const RADIUS_PER_SIGMA = Math.sqrt(-2 * Math.log(0.32));
/** What the radius leaves out: the crew stands in the alley, not in the row. */
const BESIDE_M = 1;
/** A block this far off is not the one somebody stands in. */
const ELSEWHERE_M = 40;

/** Return the rows of a block in metres around a point. */
export function rowLines(shape: BlockShape, around: Lonlat): RowLine[] {
  const [lon, lat] = shape.origin ?? [0, 0];
  const unit = shape.unit_deg ?? 1;
  const perLon = METRES_PER_DEGREE * Math.cos((around[1] * Math.PI) / 180);
  const line = (flat: readonly number[]): Xy[] =>
    Array.from({ length: Math.floor(flat.length / 2) }, (_, at) => [
      (lon + (flat[2 * at] ?? 0) * unit - around[0]) * perLon,
      (lat + (flat[2 * at + 1] ?? 0) * unit - around[1]) * METRES_PER_DEGREE,
    ]);
  return shape.rows.map((row: ShapeRow) => ({ n: row.n, lines: row.parts.map(([, flat]) => line(flat)) }));
}

function toSegment_m([ax, ay]: Xy, [bx, by]: Xy): number {
  const [dx, dy] = [bx - ax, by - ay];
  const length2 = dx * dx + dy * dy;
  const along = length2 === 0 ? 0 : Math.min(1, Math.max(0, -(ax * dx + ay * dy) / length2));
  return Math.hypot(ax + along * dx, ay + along * dy);
}

/** Return how far a row lies from the origin of its frame. */
function distance_m({ lines }: RowLine): number {
  let least = Infinity;
  for (const line of lines) {
    line.forEach((end, at) => {
      least = Math.min(least, toSegment_m(line[at - 1] ?? end, end));
    });
  }
  return least;
}

/** How a foreman who marks is spread over the order of work: most often in the next row to prune, or beside it. */
const IN_NEXT = 0.86;
const IN_LAST = 0.06;
const IN_SECOND = 0.05;
const ANYWHERE = 0.03;

/**
 * Return how likely each row is before any position is known.
 *
 * `order` are all rows in walking order, `next` the place in it of the next row to prune. Without a next row all are alike.
 */
export function orderOfWork(order: readonly number[], next: number | null): Map<number, number> {
  const each = 1 / Math.max(order.length, 1);
  const weight = new Map(order.map((row) => [row, next === null ? each : ANYWHERE * each]));
  if (next === null) return weight;
  const add = (place: number, share: number): void => {
    const row = order[place];
    if (row !== undefined) weight.set(row, (weight.get(row) ?? 0) + share);
  };
  add(next - 1, IN_LAST);
  add(next, IN_NEXT);
  add(next + 1, IN_SECOND);
  return weight;
}

/** Return the rows by how likely the tablet stands in them, likeliest first; empty when it stands elsewhere. */
export function nearestRows(shape: BlockShape, fix: Fix, before: ReadonlyMap<number, number>): Guess[] {
  const sigma = Math.hypot(fix.accuracy_m / RADIUS_PER_SIGMA, BESIDE_M);
  const near = rowLines(shape, fix.lonlat).map((row) => ({ row: row.n, distance_m: distance_m(row) }));
  const least = Math.min(...near.map((one) => one.distance_m));
  if (!(least <= ELSEWHERE_M + 2 * fix.accuracy_m)) return [];
  // from the nearest one: far from all of them every chance would round to nothing
  const chance = ({ row, distance_m: d }: { row: number; distance_m: number }): number =>
    (before.get(row) ?? 0) * Math.exp((least * least - d * d) / (2 * sigma * sigma));
  const whole = near.reduce((sum, one) => sum + chance(one), 0);
  if (!(whole > 0)) return [];
  return near.map((one) => ({ ...one, share: chance(one) / whole })).sort((a, b) => b.share - a.share || a.row - b.row);
}

/** Return which way of the compass the far end of a row lies from its first end, in eighths clockwise from north. */
export function farEndEighth(shape: BlockShape, row: number): number | null {
  const [line] = rowLines({ ...shape, rows: shape.rows.filter(({ n }) => n === row) }, shape.origin ?? [0, 0]);
  const first = line?.lines[0]?.[0];
  const far = line?.lines.at(-1)?.at(-1);
  if (first === undefined || far === undefined) return null;
  const eighths = Math.atan2(far[0] - first[0], far[1] - first[1]) / (Math.PI / 4);
  return (Math.round(eighths) + 8) % 8;
}

const ENOUGH = 0.9;
const MOST = 4;

/** Return the few rows that hold nine chances in ten, by number; four at most. */
export function suggested(guesses: readonly Guess[]): number[] {
  const rows: number[] = [];
  let share = 0;
  for (const guess of guesses) {
    if (share >= ENOUGH || rows.length === MOST) break;
    rows.push(guess.row);
    share += guess.share;
  }
  return rows.sort((a, b) => a - b);
}
