/** The way from one tree of a block to another, as one tells it in the orchard: along rows, across an alley, or around the end of rows. */

import type { Tree } from "./sample-trees";
import { apart_m, type Places, type Xy } from "./walk-places";
import type { RowEnd } from "./walking";

/** `trees` are counted along the row by position numbers: below nothing where these fall. */
export type Way =
  | { kind: "here" }
  | { kind: "same"; trees: number; metres: number }
  /** The next row: the alley between both leads there. */
  | { kind: "across"; row: number; trees: number; metres: number }
  /** Out of the rows and in again; `nth` is counted from that end. Metres are null where one does not know where one stands. */
  | { kind: "end"; row: number; end: RowEnd; nth: number; metres: number | null };

/** Return the way to a tree; from nowhere known it is told from the nearer end of its row. */
export function wayTo(places: Places, from: Tree | null, to: Tree): Way {
  const target = places.of(to);
  const start = from === null ? null : places.of(from);
  if (from === null || start === null || target === null) return fromEnd(places, to, nearerEnd(places, to), null);
  if (from.row === to.row) {
    const trees = to.position - from.position;
    return trees === 0 ? { kind: "here" } : { kind: "same", trees, metres: apart_m(start, target) };
  }
  const between = Math.abs(indexOf(places, from.row) - indexOf(places, to.row));
  if (between === 1) return { kind: "across", row: to.row, trees: to.position - abreast(places, to.row, start), metres: apart_m(start, target) };
  const ways = (["first", "far"] as const).map((end) => fromEnd(places, to, end, { tree: from, at: start }));
  const [byFirst, byFar] = ways as [EndWay, EndWay];
  return (byFar.metres ?? Infinity) < (byFirst.metres ?? Infinity) ? byFar : byFirst;
}

type EndWay = Extract<Way, { kind: "end" }>;

function fromEnd(places: Places, to: Tree, end: RowEnd, from: { tree: Tree; at: Xy } | null): EndWay {
  const nth = end === "first" ? to.position : lengthOf(places, to.row) - to.position + 1;
  const told = { kind: "end", row: to.row, end, nth } as const;
  const target = places.of(to);
  const goesIn = places.of({ row: to.row, position: endPosition(places, to.row, end) });
  if (from === null || target === null || goesIn === null) return { ...told, metres: null };
  // one leaves by the end that lies at the same headland: not through the rows
  const outs = (["first", "far"] as const)
    .map((one) => places.of({ row: from.tree.row, position: endPosition(places, from.tree.row, one) }) ?? from.at)
    .map((out) => ({ along: apart_m(from.at, out), headland: apart_m(out, goesIn) }))
    .sort((a, b) => a.headland - b.headland);
  const [out = { along: 0, headland: 0 }] = outs;
  return { ...told, metres: out.along + out.headland + apart_m(goesIn, target) };
}

function nearerEnd(places: Places, { row, position }: Tree): RowEnd {
  return position - 1 <= lengthOf(places, row) - position ? "first" : "far";
}

function endPosition(places: Places, row: number, end: RowEnd): number {
  return end === "first" ? 1 : lengthOf(places, row);
}

function lengthOf(places: Places, row: number): number {
  return places.rows.find(({ n }) => n === row)?.p ?? 1;
}

function indexOf(places: Places, row: number): number {
  const numbers = places.rows.map(({ n }) => n).sort((a, b) => a - b);
  return numbers.indexOf(row);
}

/** Return the position of a row that stands nearest to a point. */
function abreast(places: Places, row: number, point: Xy): number {
  let [best, least] = [1, Infinity];
  for (let position = 1; position <= lengthOf(places, row); position += 1) {
    const at = places.of({ row, position });
    const off = at === null ? Infinity : apart_m(at, point);
    if (off < least) [best, least] = [position, off];
  }
  return best;
}

/** Beyond the device's own error a distance of this many metres is not the tree that is meant. */
const SLACK_M = 10;

/** Return how many metres a device is off a tree, or null where it may well stand at it. Nothing of it is kept. */
export function offTree_m(places: Places, tree: Tree, accuracy_m: number): number | null {
  // the frame is laid around the device
  const at = places.of(tree);
  if (at === null) return null;
  const off = apart_m(at, [0, 0]);
  return off > accuracy_m + SLACK_M ? off : null;
}
