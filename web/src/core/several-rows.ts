/** Several rows marked at once: which rows the typed numbers mean, and what of them would be marked. */

import type { Run, ShapeRow } from "./contracts";
import { stretchesLeft, treesIn, type Stretch } from "./coverage";
import { t } from "./language";

export interface RowRange {
  from: number;
  to: number;
}
export interface SeveralRows {
  /** What would be marked, row by row; nothing that is pruned already or claimed by anybody. */
  marks: { row: number; stretches: Stretch[] }[];
  trees: number;
  /** Rows of which nothing is left. */
  done: number[];
  /** Rows of which a part is to be gone over again: that has a mark of its own. */
  again: number[];
  /** Rows of which another crew has pruned a part; that part is left out. */
  shared: number[];
  /** Numbers in the range that no row of the block has. */
  missing: number;
}

/** Return the range that was typed, "12-18", "18 12", "12 to 18" or "12"; null while it is none. */
export function typedRange(text: string): RowRange | null {
  const found = /^\s*(\d{1,5})\s*(?:(?:-|–|\.\.|to|\s)\s*(\d{1,5}))?\s*$/.exec(text);
  if (found?.[1] === undefined) return null;
  const one = Number(found[1]);
  const other = found[2] === undefined ? one : Number(found[2]);
  return { from: Math.min(one, other), to: Math.max(one, other) };
}

/** Return what marking the rows of `range` for the crew `own` would mark, and what it leaves out. */
export function severalRows(
  rows: readonly ShapeRow[],
  runsOf: (row: number) => readonly Run[],
  range: RowRange,
  own: number,
): SeveralRows {
  const found: SeveralRows = { marks: [], trees: 0, done: [], again: [], shared: [], missing: 0 };
  const asked = rows.filter(({ n }) => n >= range.from && n <= range.to).sort((a, b) => a.n - b.n);
  found.missing = range.to - range.from + 1 - asked.length;
  for (const row of asked) {
    const runs = runsOf(row.n);
    const stretches = stretchesLeft(row, runs, { first: 1, last: row.p });
    const isAgain = runs.some(([, , , kind]) => kind === 3);
    if (isAgain) found.again.push(row.n);
    if (stretches.length === 0) {
      if (!isAgain) found.done.push(row.n);
      continue;
    }
    if (runs.some(([, , , , crew]) => crew !== own)) found.shared.push(row.n);
    found.trees += stretches.reduce((sum, stretch) => sum + treesIn(row, stretch), 0);
    found.marks.push({ row: row.n, stretches });
  }
  return found;
}

/** Return numbers as people say them: 3, 5 to 8, 11. */
export function numbersText(numbers: readonly number[]): string {
  const sorted = [...new Set(numbers)].sort((a, b) => a - b);
  const parts: [number, number][] = [];
  for (const n of sorted) {
    const last = parts.at(-1);
    if (last !== undefined && last[1] === n - 1) last[1] = n;
    else parts.push([n, n]);
  }
  return parts.map(([a, b]) => (a === b ? `${a}` : b === a + 1 ? `${a}, ${b}` : t("{first} to {last}", { first: a, last: b }))).join(", ");
}
