/** What is pruned and what is left in one row, read from the runs the service answers. */

import type { Run, RunKind, ShapeRow } from "./contracts";

export interface Stretch {
  first: number;
  last: number;
}
/** `left` is in no run: still to prune. */
export type PieceKind = "left" | "pruned" | "overlap" | "again" | "blank" | "pollinizer";
export interface Piece extends Stretch {
  kind: PieceKind;
}
export interface RowTally {
  trees: number;
  pruned: number;
  overlap: number;
  again: number;
}

const KINDS = { 1: "pruned", 2: "overlap", 3: "again" } as const satisfies Record<RunKind, PieceKind>;

/** Return the runs of one row. */
export function runsOfRow(runs: readonly Run[], row: number): Run[] {
  return runs.filter((run) => run[0] === row);
}

/** Return the kind of every position, index 0 for position 1, growing things only (no blanks). */
function kinds(row: ShapeRow, runs: readonly Run[]): PieceKind[] {
  const kind = new Array<PieceKind>(row.p).fill("left");
  for (const [, first, last, code] of runs) {
    for (let position = Math.max(first, 1); position <= Math.min(last, row.p); position += 1) {
      kind[position - 1] = KINDS[code];
    }
  }
  return kind;
}

/** Return the row cut into pieces of one kind each, in order; together they hold every position once. */
export function rowPieces(row: ShapeRow, runs: readonly Run[]): Piece[] {
  const kind = kinds(row, runs);
  for (const position of row.pollinizers ?? []) if (position <= row.p) kind[position - 1] = "pollinizer";
  for (const position of row.blanks ?? []) if (position <= row.p) kind[position - 1] = "blank";
  const pieces: Piece[] = [];
  kind.forEach((one, index) => {
    const before = pieces.at(-1);
    if (before?.kind === one) before.last = index + 1;
    else pieces.push({ kind: one, first: index + 1, last: index + 1 });
  });
  return pieces;
}

/** Return how many trees (positions without blanks and pollinizers) stand from `first` to `last`, both counted. */
export function treesIn(row: ShapeRow, { first, last }: Stretch): number {
  const apart = new Set([...(row.blanks ?? []), ...(row.pollinizers ?? [])]);
  let trees = 0;
  for (let position = first; position <= last; position += 1) if (!apart.has(position)) trees += 1;
  return trees;
}

/** Return the trees of the row by what became of them; an overlap, and what is to be gone over again, is pruned too, and counts once. */
export function rowTally(row: ShapeRow, runs: readonly Run[]): RowTally {
  const tally = { trees: 0, pruned: 0, overlap: 0, again: 0 };
  for (const piece of rowPieces(row, runs)) {
    if (piece.kind === "blank" || piece.kind === "pollinizer") continue;
    const trees = piece.last - piece.first + 1;
    tally.trees += trees;
    if (piece.kind === "pruned" || piece.kind === "overlap" || piece.kind === "again") tally.pruned += trees;
    if (piece.kind === "overlap") tally.overlap += trees;
    if (piece.kind === "again") tally.again += trees;
  }
  return tally;
}

/**
 * Return what of `within` is still to prune, as stretches that hold at least one tree; what is to be gone over again was pruned.
 *
 * Marks are made of these, so that a crew that goes on where another one stopped claims nothing of the other's.
 */
export function stretchesLeft(row: ShapeRow, runs: readonly Run[], within: Stretch): Stretch[] {
  return stretchesOf("left", row, runs, within);
}

function stretchesOf(wanted: PieceKind, row: ShapeRow, runs: readonly Run[], within: Stretch): Stretch[] {
  const stretches: Stretch[] = [];
  kinds(row, runs).forEach((kind, index) => {
    const position = index + 1;
    if (position < within.first || position > within.last) return;
    if (kind !== wanted) return;
    const before = stretches.at(-1);
    if (before && before.last === position - 1) before.last = position;
    else stretches.push({ first: position, last: position });
  });
  return stretches.filter((stretch) => treesIn(row, stretch) > 0);
}

/**
 * Return the first position still to prune for a crew that comes from the end `from`, in a row that is pruned the first one to go
 * over again; past the row when there is neither.
 */
export function nextFrom(row: ShapeRow, runs: readonly Run[], from: "first" | "far"): number {
  const whole = { first: 1, last: row.p };
  const left = stretchesLeft(row, runs, whole);
  const ahead = left.length > 0 ? left : stretchesOf("again", row, runs, whole);
  return from === "first" ? (ahead[0]?.first ?? row.p + 1) : (ahead.at(-1)?.last ?? 0);
}

/** Return the positions that a crew from the end `from` has passed when it stopped at `position`. */
export function passed(row: ShapeRow, position: number, from: "first" | "far"): Stretch {
  return from === "first" ? { first: 1, last: position } : { first: position, last: row.p };
}

/** Return where standing marks still claim something of `stretches`: what stays pruned when one mark is taken back. */
export function stillClaimed(runs: readonly Run[], stretches: readonly Stretch[]): Stretch[] {
  const claimed = stretches
    .flatMap((wanted) =>
      runs.map(([, first, last]) => ({ first: Math.max(first, wanted.first), last: Math.min(last, wanted.last) })),
    )
    .filter(({ first, last }) => first <= last)
    .sort((a, b) => a.first - b.first);
  const joined: Stretch[] = [];
  for (const one of claimed) {
    const before = joined.at(-1);
    if (before && one.first <= before.last + 1) before.last = Math.max(before.last, one.last);
    else joined.push({ ...one });
  }
  return joined;
}
