/** The order in which a crew walks the rows of a block, and from which end it walks each: up one row, down the next. */

import type { ShapeRow } from "./contracts";

/** `first`: where position 1 stands. `far`: the other end. */
export type RowEnd = "first" | "far";
export interface Walk {
  /** The row one begins with. */
  startRow: number;
  /** The end of that row at which one begins. */
  startEnd: RowEnd;
  /** Whether row numbers go up or down from there. */
  toward: "up" | "down";
  /** Rows pruned in one pass: one row, or both rows of an alley. */
  rowsAtOnce: 1 | 2;
}
export interface WalkedRow {
  row: ShapeRow;
  /** The end from which the crew comes into this row. */
  from: RowEnd;
}

/** Return the walk of somebody who has said nothing: from the first row's first end, up one row and down the next. */
export function usualWalk(rows: readonly ShapeRow[]): Walk {
  const numbers = rows.map(({ n }) => n);
  return { startRow: numbers.length === 0 ? 1 : Math.min(...numbers), startEnd: "first", toward: "up", rowsAtOnce: 1 };
}

/** Return the other end. */
export function otherEnd(end: RowEnd): RowEnd {
  return end === "first" ? "far" : "first";
}

/**
 * Return the rows in walking order, each with the end it is walked from.
 *
 * A crew that comes to the block's side goes on with the rows it has left out, from the nearest one back.
 */
export function walkedRows(rows: readonly ShapeRow[], walk: Walk): WalkedRow[] {
  const sorted = [...rows].sort((a, b) => (walk.toward === "up" ? a.n - b.n : b.n - a.n));
  const begin = sorted.findIndex(({ n }) => (walk.toward === "up" ? n >= walk.startRow : n <= walk.startRow));
  const ahead = begin < 0 ? [] : sorted.slice(begin);
  const behind = (begin < 0 ? sorted : sorted.slice(0, begin)).reverse();
  return [...ahead, ...behind].map((row, place) => {
    const pass = Math.floor(place / walk.rowsAtOnce);
    return { row, from: pass % 2 === 0 ? walk.startEnd : otherEnd(walk.startEnd) };
  });
}

/** Return how many rows at the beginning of the walk are finished: the list begins at the next row to prune. */
export function finishedBefore(order: readonly WalkedRow[], isDone: (row: ShapeRow) => boolean): number {
  const next = order.findIndex(({ row }) => !isDone(row));
  return next < 0 ? 0 : next;
}

/** Return a walk read from the device's memory, or null when what is kept there is none of this block. */
export function walkFrom(text: string | null, rows: readonly ShapeRow[]): Walk | null {
  let kept: unknown;
  try {
    kept = JSON.parse(text ?? "null");
  } catch {
    return null;
  }
  if (typeof kept !== "object" || kept === null) return null;
  const { startRow, startEnd, toward, rowsAtOnce } = kept as Partial<Walk>;
  if (!rows.some(({ n }) => n === startRow) || startRow === undefined) return null;
  if ((startEnd !== "first" && startEnd !== "far") || (toward !== "up" && toward !== "down")) return null;
  if (rowsAtOnce !== 1 && rowsAtOnce !== 2) return null;
  return { startRow, startEnd, toward, rowsAtOnce };
}
