/** A block's figures with this device's own records in them, as its rows show them; for the list that one picks from. */

import type { BlockPack, BlockState, BlockSummary, CheckLine } from "./contracts";
import { treesAgain, waitingReturns } from "./again";
import { rowTally, runsOfRow } from "./coverage";
import { blockRuns } from "./merge";
import { notInLog, type Entry, type ReadUpTo } from "./outbox";
import { pendingRecords, positionsOf, stateWithOwn } from "./own-records";

/** What of a block is on this device. */
export type Held = Pick<BlockPack, "shape" | "log" | "state" | "lots" | "lots_cancelled">;
type Figures = Partial<Pick<BlockSummary, "pruned" | "again" | "checked" | "drawn" | "drawn_faulty" | "faulty_gone_over">>;
type Own = readonly Entry[];

/**
 * Return the summary, read as `read` tells, with own records that it does not hold yet.
 *
 * A newer pack tells the figures itself. Over an older one, and over one of another epoch, only what own records add to
 * it is taken, so that nothing that the summary knows of others is lost. The verdict stays the service's.
 */
export function withOwn(summary: BlockSummary, read: ReadUpTo, held: Held, entries: Own, forCrewId: string | null): BlockSummary {
  const fresh = new Set(notInLog(entries, summary.id, read).map(({ id }) => id));
  const over = (packCursor: number, count: (own: Own) => Figures): Figures => {
    const own = notInLog(entries, summary.id, { ...held.log, cursor: packCursor });
    const now = count(own);
    if (held.log.epoch === read.epoch && packCursor >= read.cursor) return now;
    const known = count(own.filter(({ id }) => !fresh.has(id)));
    const added = (name: keyof Figures): number => (summary[name] ?? 0) + (now[name] ?? 0) - (known[name] ?? 0);
    return Object.fromEntries(Object.keys(now).map((name) => [name, added(name as keyof Figures)]));
  };
  const pruned = over(held.log.cursor, (own) => prunedIn(held, own, forCrewId));
  const checked = over(held.state.cursor, (own) => checksIn(held, own, forCrewId));
  return { ...summary, ...pruned, ...checked };
}

function prunedIn({ shape, log }: Held, own: Own, forCrewId: string | null): Figures {
  const pending = pendingRecords(own, forCrewId);
  const runs = blockRuns(log, positionsOf(shape.rows), pending);
  return {
    pruned: shape.rows.reduce((sum, row) => sum + rowTally(row, runsOfRow(runs, row.n)).pruned, 0),
    again: treesAgain(waitingReturns(log, shape.rows, pending), shape.rows),
  };
}

/**
 * Count trees by their last check, and for the verdict by their last drawn one, faulty ones apart that were gone over since; a second look counts for neither. In a block
 * with lots those of each standing lot count, as its draw was made; in one without, those that were drawn for no lot, on pruned trees.
 */
function checksIn({ shape, log, state, lots = [], lots_cancelled = [] }: Held, own: Own, forCrewId: string | null): Figures {
  const now = stateWithOwn({ state, log, rows: shape.rows }, own, forCrewId);
  const checks = now.checks.filter((check) => check[11] !== true);
  const cancelled = new Set(lots_cancelled.map(({ id }) => id));
  const drawn = checks.filter((check) => check[7] && !cancelled.has(check[8] ?? ""));
  const ofLots = drawn.filter((check) => check[8] != null);
  const judged = ofLots.length > 0 || lots.length > 0 ? lastOf(ofLots, (check) => `${check[8]} ${treeOf(check)}`) : lastOfTree(drawn.filter((check) => isPruned(now, check)));
  const faulty = judged.filter(([, , , verdict]) => verdict === "faulty");
  const mended = faulty.filter((check) => check[10] === true).length;
  return {
    checked: lastOfTree(checks).length,
    drawn: judged.length,
    drawn_faulty: faulty.length - mended,
    faulty_gone_over: mended,
  };
}

const treeOf = ([, row, position]: CheckLine): string => `${row}:${position}`;
const lastOfTree = (checks: readonly CheckLine[]): CheckLine[] => lastOf(checks, treeOf);

/** Return one check of each name; they come oldest first, and the later one takes the place. */
function lastOf(checks: readonly CheckLine[], name: (check: CheckLine) => string): CheckLine[] {
  return [...new Map(checks.map((check) => [name(check), check])).values()];
}

function isPruned({ runs }: BlockState, [, row, position]: CheckLine): boolean {
  return runs.some(([of, first, last]) => of === row && first <= position && position <= last);
}
