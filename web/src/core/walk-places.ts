/** Where the trees of a block stand, in metres, by the rule of `orchardmap.geometry.positions`. */

import type { BlockShape, Lonlat, ShapeRow } from "./contracts";
import { rowLines } from "./nearest-row";
import type { Tree } from "./sample-trees";

/** Metres east and north of the place that the frame is laid around. */
export type Xy = readonly [x_m: number, y_m: number];

export interface Places {
  /** Return where a position stands, or null where the row is none of the block's, or has no line. */
  of(tree: Tree): Xy | null;
  rows: readonly ShapeRow[];
}

export function apart_m(a: Xy, b: Xy): number {
  return Math.hypot(a[0] - b[0], a[1] - b[1]);
}

/** Return the places of a block in metres around a point; around its own origin where none is given. */
export function placesOf(shape: BlockShape, around: Lonlat = shape.origin ?? [0, 0]): Places {
  const lines = new Map(rowLines(shape, around).map(({ n, lines }) => [n, lines]));
  const rows = new Map(shape.rows.map((row) => [row.n, row]));
  return {
    rows: shape.rows,
    of({ row, position }) {
      const [of, parts] = [rows.get(row), lines.get(row)];
      if (of === undefined || parts === undefined) return null;
      const counts = partCounts(of, parts);
      let before = 0;
      for (const [at, line] of parts.entries()) {
        const count = counts[at] ?? 0;
        if (position <= before + count) return along(line, metre(length_m(line), of.e, count, position - before));
        before += count;
      }
      return null;
    },
  };
}

/** Return how many positions stand on each part: a number counted in the field is shared out by largest remainder. */
function partCounts({ p, parts }: ShapeRow, lines: readonly (readonly Xy[])[]): number[] {
  const ruled = parts.map(([positions]) => positions);
  const sum = (values: readonly number[]): number => values.reduce((all, one) => all + one, 0);
  if (sum(ruled) === p) return ruled;
  const weights = sum(ruled) > 0 ? ruled : lines.map(length_m);
  const shares = weights.map((weight) => (sum(weights) > 0 ? (weight / sum(weights)) * p : p / weights.length));
  const counts = shares.map(Math.floor);
  const byRest = shares.map((share, at) => ({ at, rest: share - Math.floor(share) })).sort((a, b) => b.rest - a.rest || a.at - b.at);
  for (const { at } of byRest.slice(0, p - sum(counts))) counts[at] = (counts[at] ?? 0) + 1;
  return counts;
}

/** Return how many metres along its part the k-th of `count` positions stands: evenly between the end offsets, a single one in the middle. */
function metre(whole_m: number, end_m: number, count: number, k: number): number {
  if (count < 2) return whole_m / 2;
  const inset = Math.min(end_m, whole_m / 2);
  return inset + ((whole_m - 2 * inset) * (k - 1)) / (count - 1);
}

function length_m(line: readonly Xy[]): number {
  return line.reduce((whole, point, at) => whole + apart_m(line[at - 1] ?? point, point), 0);
}

function along(line: readonly Xy[], metre_m: number): Xy | null {
  let left = metre_m;
  for (const [at, to] of line.entries()) {
    const from = line[at - 1];
    if (from === undefined) continue;
    const step = apart_m(from, to);
    if (step > 0 && (left <= step || at === line.length - 1)) {
      const share = left / step;
      return [from[0] + share * (to[0] - from[0]), from[1] + share * (to[1] - from[1])];
    }
    left -= step;
  }
  return line[0] ?? null;
}
