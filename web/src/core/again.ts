/**
 * Returns: what is still to be gone over again, from the service's log and what still waits on this device.
 *
 * A pure function of the sets of stretches asked for and of marks that answer. The same rules stand in Python
 * (`orchardmap/work/returns.py`); both are held to `tests/vectors/returns`.
 */

import type { BlockLog, BlockReturn, Run, ShapeRow } from "./contracts";
import { treesIn, type Stretch } from "./coverage";
import { blockRuns, standing, type PendingRecord } from "./merge";

export type RowStretch = readonly [row: number, first: number, last: number];
/** A return with something open. */
export interface WaitingReturn {
  said: BlockReturn;
  open: RowStretch[];
}

/** Return the same positions as few stretches, by row and position. */
export function joined(stretches: readonly RowStretch[]): RowStretch[] {
  const made: RowStretch[] = [];
  const inOrder = [...stretches].sort((a, b) => a[0] - b[0] || a[1] - b[1]);
  for (const [row, first, last] of inOrder) {
    const before = made.at(-1);
    if (before !== undefined && before[0] === row && first <= before[2] + 1) made.splice(-1, 1, [row, before[1], Math.max(before[2], last)]);
    else made.push([row, first, last]);
  }
  return made;
}

/** Return the positions that both hold. */
function common(some: readonly RowStretch[], others: readonly RowStretch[]): RowStretch[] {
  const there = joined(others);
  return joined(some).flatMap(([row, first, last]) =>
    there
      .filter(([of, from, to]) => of === row && first <= to && from <= last)
      .map(([, from, to]): RowStretch => [row, Math.max(first, from), Math.min(last, to)]),
  );
}

/** Return what of a stretch the joined ones do not hold. */
function without([row, first, last]: RowStretch, taken: readonly RowStretch[]): RowStretch[] {
  const left: RowStretch[] = [];
  let at = first;
  for (const [of, from, to] of taken) {
    if (of !== row || to < at || from > last) continue;
    if (from > at) left.push([row, at, from - 1]);
    at = to + 1;
  }
  return at <= last ? [...left, [row, at, last]] : left;
}

/** Return what of a return no mark answers yet: stretches that hold a tree each, cut at the ends of the rows. */
export function openStretches(
  asked: readonly RowStretch[],
  answers: readonly RowStretch[],
  rows: ReadonlyMap<number, ShapeRow>,
): RowStretch[] {
  const answered = joined(answers);
  return common(asked, [...rows.values()].map(({ n, p }) => [n, 1, p]))
    .flatMap((stretch) => without(stretch, answered))
    .filter(([n, first, last]) => {
      const row = rows.get(n);
      return row !== undefined && treesIn(row, { first, last }) > 0;
    });
}

/** Return the returns of a block of which something is open, by number, this device's own records counted. */
export function waitingReturns(log: BlockLog, rows: readonly ShapeRow[], pending: readonly PendingRecord[] = []): WaitingReturn[] {
  const byNumber = new Map(rows.map((row) => [row.n, row]));
  const positions = new Map(rows.map(({ n, p }) => [n, p]));
  return (log.returns ?? [])
    .map((said) => {
      const answers = standing({ ...log, marks: said.answers }, positions, pending, said.id);
      const done = answers.map(({ row, first, last }): RowStretch => [row, first, last]);
      return { said, open: openStretches(said.stretches, done, byNumber) };
    })
    .filter(({ open }) => open.length > 0)
    .sort((a, b) => a.said.number - b.said.number);
}

/** Return the crews that are asked, each once, by number of return; none where `own` is asked itself. */
export function otherCrews(waiting: readonly WaitingReturn[], own: string | null): string[] {
  const asked = waiting.map(({ said }) => said.crew_id);
  return own !== null && asked.includes(own) ? [] : [...new Set(asked)];
}

/** Return the runs cut where a return waits: kind 3 in place of 1; what two crews claim is a manager's first. */
export function againRuns(runs: readonly Run[], waiting: readonly WaitingReturn[]): Run[] {
  const ahead = joined(waiting.flatMap(({ open }) => open));
  return runs.flatMap((run): Run[] => {
    const [row, first, last, kind, crew] = run;
    if (kind !== 1) return [run];
    const again = common([[row, first, last]], ahead);
    const pieces: Run[] = [
      ...again.map(([, from, to]): Run => [row, from, to, 3, crew]),
      ...without([row, first, last], again).map(([, from, to]): Run => [row, from, to, 1, crew]),
    ];
    return pieces.sort((a, b) => a[1] - b[1]);
  });
}

/** Return the runs of a block as the service answers them: 1 pruned, 2 held, 3 to be gone over again. */
export function runsWithAgain(log: BlockLog, rows: readonly ShapeRow[], pending: readonly PendingRecord[] = []): Run[] {
  const positions = new Map(rows.map(({ n, p }) => [n, p]));
  return againRuns(blockRuns(log, positions, pending), waitingReturns(log, rows, pending));
}

/** Return how many trees wait in these returns, each once. */
export function treesAgain(waiting: readonly WaitingReturn[], rows: readonly ShapeRow[]): number {
  const byNumber = new Map(rows.map((row) => [row.n, row]));
  return joined(waiting.flatMap(({ open }) => open)).reduce((sum, [n, first, last]) => {
    const row = byNumber.get(n);
    return row === undefined ? sum : sum + treesIn(row, { first, last });
  }, 0);
}

/** What a return asks for in one row, as the mark that answers wants it. */
export interface AgainPart {
  row: number;
  stretches: Stretch[];
  returnId: string;
  crewId: string;
}

/** Return what is open in a row, one part a return, cut to what a crew has passed; stretches that hold a tree each. */
export function againParts(waiting: readonly WaitingReturn[], row: ShapeRow, within: Stretch = { first: 1, last: row.p }): AgainPart[] {
  return waiting.flatMap(({ said, open }) => {
    const stretches = common(open, [[row.n, within.first, within.last]])
      .map(([, first, last]) => ({ first, last }))
      .filter((one) => treesIn(row, one) > 0);
    return stretches.length === 0 ? [] : [{ row: row.n, stretches, returnId: said.id, crewId: said.crew_id }];
  });
}

/** Return how many trees parts of one row hold, each once. */
export function treesOfParts(parts: readonly AgainPart[], row: ShapeRow): number {
  return joined(parts.flatMap(({ stretches }) => stretches.map(({ first, last }): RowStretch => [row.n, first, last]))).reduce(
    (sum, [, first, last]) => sum + treesIn(row, { first, last }),
    0,
  );
}
