/**
 * Rows of a block on the page that edits them: where their positions stand, and lines drawn from a row.
 *
 * For looking and pointing only: what is taken, the service works out in its own frame.
 */

import type { Lonlat } from "./contracts";
import type { GroundRow } from "./ground-contracts";

type Xy = readonly [number, number];
export type Place = "tree" | "blank" | "pollinizer";

const METRES_PER_DEGREE = 111_320;
const NEXT: Record<Place, Place> = { tree: "blank", blank: "pollinizer", pollinizer: "tree" };

/** Return what stands at a position. */
export function placeAt(row: GroundRow, position: number): Place {
  if (row.blanks.includes(position)) return "blank";
  return row.pollinizers.includes(position) ? "pollinizer" : "tree";
}

/** Return blanks and pollinizers after a touch on a position: tree, blank, pollinizer, and a tree again. */
export function turnedPlaces(row: GroundRow, position: number): { blanks: number[]; pollinizers: number[] } {
  const next = NEXT[placeAt(row, position)];
  const others = (places: readonly number[]): number[] => places.filter((one) => one !== position);
  const added = (places: readonly number[], kind: Place): number[] =>
    next === kind ? [...others(places), position].sort((a, b) => a - b) : others(places);
  return { blanks: added(row.blanks, "blank"), pollinizers: added(row.pollinizers, "pollinizer") };
}

/** Return how many positions stand on each part, a counted number shared out by the rule's, the rest to the longest remainders. */
export function partCounts({ part_positions, counted_positions }: GroundRow): number[] {
  const byRule = part_positions.reduce((sum, one) => sum + one, 0);
  if (counted_positions === null || counted_positions === byRule) return part_positions;
  const weights = byRule === 0 ? part_positions.map(() => 1) : part_positions;
  const all = weights.reduce((sum, one) => sum + one, 0);
  const shares = weights.map((weight) => (weight / all) * counted_positions);
  const counts = shares.map(Math.floor);
  const left = counted_positions - counts.reduce((sum, one) => sum + one, 0);
  const byRemainder = shares.map((share, at) => ({ at, remainder: share - Math.floor(share) })).sort((a, b) => b.remainder - a.remainder);
  for (const { at } of byRemainder.slice(0, left)) counts[at] = (counts[at] ?? 0) + 1;
  return counts;
}

/** Return where each position stands, in order: evenly between the end offsets of its part. */
export function positionLonlats(row: GroundRow): Lonlat[] {
  const counts = partCounts(row);
  return row.parts.flatMap((line, part) => {
    const steps = legs(line);
    const length_m = steps.reduce((sum, { length }) => sum + length, 0);
    const n = counts[part] ?? 0;
    const first_m = Math.min(row.end_offset_m, length_m / 2);
    const step_m = n > 1 ? (length_m - 2 * first_m) / (n - 1) : 0;
    return Array.from({ length: n }, (_, at) => along(line, steps, n === 1 ? length_m / 2 : first_m + at * step_m));
  });
}

function metresPer(latitude_deg: number): Xy {
  return [METRES_PER_DEGREE * Math.cos((latitude_deg * Math.PI) / 180), METRES_PER_DEGREE];
}

function legs(line: readonly Lonlat[]): { from: Lonlat; to: Lonlat; length: number }[] {
  return line.slice(1).map((to, at) => {
    const from = line[at] ?? to;
    const [perLon, perLat] = metresPer(from[1]);
    return { from, to, length: Math.hypot((to[0] - from[0]) * perLon, (to[1] - from[1]) * perLat) };
  });
}

function along(line: readonly Lonlat[], steps: readonly { from: Lonlat; to: Lonlat; length: number }[], at_m: number): Lonlat {
  let left = at_m;
  for (const { from, to, length } of steps) {
    if (left <= length && length > 0) {
      const share = left / length;
      return [from[0] + (to[0] - from[0]) * share, from[1] + (to[1] - from[1]) * share];
    }
    left -= length;
  }
  return line.at(-1) ?? [0, 0];
}

/** Return points moved by metres east and north. */
export function moved(line: readonly Lonlat[], east_m: number, north_m: number): Lonlat[] {
  return line.map(([lon, lat]) => {
    const [perLon, perLat] = metresPer(lat);
    return [lon + east_m / perLon, lat + north_m / perLat];
  });
}

/** Return a row's parts with one end farther out by some metres along its line; negative is nearer. */
export function lengthened(parts: readonly Lonlat[][], end: "first" | "last", by_m: number): Lonlat[][] {
  const found = parts.map((part) => [...part]);
  const part = end === "first" ? found[0] : found.at(-1);
  if (part === undefined || part.length < 2) return found;
  const [tip, inner] = end === "first" ? [part[0], part[1]] : [part.at(-1), part.at(-2)];
  if (tip === undefined || inner === undefined) return found;
  const [perLon, perLat] = metresPer(tip[1]);
  const [east, north] = [(tip[0] - inner[0]) * perLon, (tip[1] - inner[1]) * perLat];
  const length = Math.hypot(east, north) || 1;
  const [put] = moved([tip], (east / length) * by_m, (north / length) * by_m);
  if (put === undefined) return found;
  if (end === "first") part[0] = put;
  else part[part.length - 1] = put;
  return found;
}

/** Return lines beside a row, to the right of its direction by some metres; negative is to its left. */
export function beside(parts: readonly Lonlat[][], right_m: number): Lonlat[][] {
  const [from, to] = [parts[0]?.[0], parts.at(-1)?.at(-1)];
  if (from === undefined || to === undefined) return [];
  const [perLon, perLat] = metresPer(from[1]);
  const [east, north] = [(to[0] - from[0]) * perLon, (to[1] - from[1]) * perLat];
  const length = Math.hypot(east, north) || 1;
  return parts.map((part) => moved(part, (north / length) * right_m, (-east / length) * right_m));
}

/** Return the line midway between two rows, as two points: a cut between them. */
export function between(one: GroundRow, other: GroundRow): [Lonlat, Lonlat] | null {
  const ends = (row: GroundRow): [Lonlat, Lonlat] | null => {
    const [from, to] = [row.parts[0]?.[0], row.parts.at(-1)?.at(-1)];
    return from === undefined || to === undefined ? null : [from, to];
  };
  const [a, b] = [ends(one), ends(other)];
  if (a === null || b === null) return null;
  const far = (p: Lonlat, q: Lonlat): number => {
    const [perLon, perLat] = metresPer(p[1]);
    return Math.hypot((p[0] - q[0]) * perLon, (p[1] - q[1]) * perLat);
  };
  // rows walked out and back face each other
  const [first, last] = far(a[0], b[0]) + far(a[1], b[1]) <= far(a[0], b[1]) + far(a[1], b[0]) ? b : [b[1], b[0]];
  const middle = (p: Lonlat, q: Lonlat): Lonlat => [(p[0] + q[0]) / 2, (p[1] + q[1]) / 2];
  return [middle(a[0], first), middle(a[1], last)];
}

/** Return new numbers for rows from one on, in their order or from the other side; those that stay as they are are left out. */
export function numbersFrom(numbers: readonly number[], first: number, fromOtherSide: boolean): [number, number][] {
  const order = [...numbers].sort((a, b) => (fromOtherSide ? b - a : a - b));
  return order.map((now, at): [number, number] => [now, first + at]).filter(([now, then]) => now !== then);
}
