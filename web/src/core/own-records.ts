/** This device's own records over what the service answered: a row shows pruned at once, with a connection or without. */

import type { BlockLog, BlockState, CheckLine, Run, ShapeRow, UnjudgedLine } from "./contracts";
import { runsWithAgain } from "./again";
import type { PendingRecord } from "./merge";
import type { Entry } from "./outbox";

/** Return what the merge model wants to know of own records. `forCrewId`: the crew of this tablet; null speaks for any. */
export function pendingRecords(entries: readonly Entry[], forCrewId: string | null): PendingRecord[] {
  return entries.flatMap((entry): PendingRecord[] => {
    const { kind, record } = entry;
    if (kind === "marks" && "row" in record && "crew_id" in record) return [{ kind, record, forCrewId }];
    if (kind === "withdrawals" && "mark_id" in record) return [{ kind, record, forCrewId }];
    return [];
  });
}

/** Return how many positions each row has, as the merge model asks for it. */
export function positionsOf(rows: readonly ShapeRow[]): Map<number, number> {
  return new Map(rows.map(({ n, p }) => [n, p]));
}

/** A state with the log it was read with, and the rows of the block; either may be missing. */
export interface Base {
  state: BlockState;
  log: BlockLog | null;
  rows: readonly ShapeRow[];
}

/**
 * Return the state with own records in it.
 *
 * The log decides; without one the marks are drawn where nothing is yet, and what else becomes of them is seen later.
 */
export function stateWithOwn({ state, log, rows }: Base, own: readonly Entry[], forCrewId: string | null): BlockState {
  const pending = pendingRecords(own, forCrewId);
  const checks = [...state.checks, ...ownChecks(state, own)];
  const not_judged = [...(state.not_judged ?? []), ...ownUnjudged(state, own)];
  if (log !== null && rows.length > 0) {
    return { ...state, checks, not_judged, crews: log.crews, runs: runsWithAgain(log, rows, pending) };
  }
  const drawn = pending.flatMap((one): Run[] => {
    if (one.kind !== "marks" || one.record.return_id !== undefined) return [];
    const { row, first, last, crew_id } = one.record;
    return [[row, first, last, 1, state.crews.findIndex(({ id }) => id === crew_id)]];
  });
  return { ...state, checks, not_judged, runs: [...state.runs, ...drawn] };
}

/** Return a state that was just read, with the checks that only the one before it holds. */
export function withChecksOf(fresh: BlockState, before: BlockState): BlockState {
  const added = <Line extends readonly [id: string, ...rest: unknown[]]>(now: readonly Line[] = [], then: readonly Line[] = []): Line[] => {
    const there = new Set(now.map(([id]) => id));
    return [...now, ...then.filter(([id]) => !there.has(id))];
  };
  return { ...fresh, checks: added(fresh.checks, before.checks), not_judged: added(fresh.not_judged, before.not_judged) };
}

function ownChecks({ checks }: BlockState, own: readonly Entry[]): CheckLine[] {
  const there = new Set(checks.map(([id]) => id));
  return own.flatMap(({ record }): CheckLine[] => {
    if (!("verdict" in record) || there.has(record.id)) return [];
    const { id, row, position, verdict, day, note = "", drawn, lot_id = null, second = false } = record;
    return [[id, row, position, verdict, day, null, note, drawn, lot_id, [], false, second]];
  });
}

function ownUnjudged({ not_judged = [] }: BlockState, own: readonly Entry[]): UnjudgedLine[] {
  const there = new Set(not_judged.map(([id]) => id));
  return own.flatMap(({ record }): UnjudgedLine[] => {
    if (!("not_judged" in record) || there.has(record.id)) return [];
    const { id, row, position, not_judged: reason, day, lot_id } = record;
    return [[id, row, position, reason, day, lot_id]];
  });
}
