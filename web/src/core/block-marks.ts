/** Marks of a block as the tablet shows them, and what of its own can be taken back: from the service's log and own records. */

import type { BlockLog, LogMark, Mark } from "./contracts";
import { dayIn } from "./ahead";
import type { Entry } from "./outbox";

/** A mark that stands, as far as this device knows. */
export interface StandingMark {
  id: string;
  row: number;
  first: number;
  last: number;
  crewId: string;
  day: string;
  /** The return that it answers, where it is no mark of the first round. */
  returnId?: string;
}
/** What one touch marked: its marks stand and can be taken back together. */
export interface Action {
  /** The device's moment, the same for all records of one touch. */
  at: string;
  block: string;
  marks: StandingMark[];
}

function markOf({ kind, record }: Entry): Mark | null {
  return kind === "marks" && "crew_id" in record && "row" in record ? record : null;
}

function withdrawnBy(entries: readonly Entry[]): Set<string> {
  return new Set(
    entries.flatMap(({ record, state }) => ("mark_id" in record && state !== "set_aside" && state !== "refused" ? [record.mark_id] : [])),
  );
}

/**
 * Return the marks of the first round that stand in a block; `pending` are this device's records that the log does not hold yet.
 *
 * `speaksFor` is the crew whose marks this device may take back; null speaks for any.
 */
export function standingMarks(log: BlockLog, pending: readonly Entry[], speaksFor: string | null): StandingMark[] {
  return withOwn(log, log.marks.map((mark) => told(log, mark)), pending, speaksFor).filter(({ returnId }) => returnId === undefined);
}

/** Return the marks that stand and answer returns of the block, alike. */
export function standingAnswers(log: BlockLog, pending: readonly Entry[], speaksFor: string | null): StandingMark[] {
  const answers = (log.returns ?? []).flatMap(({ id, answers }) => answers.map((mark) => ({ ...told(log, mark), returnId: id })));
  return withOwn(log, answers, pending, speaksFor).filter(({ returnId }) => returnId !== undefined);
}

function told({ crews }: BlockLog, [id, row, first, last, crew, day]: LogMark): StandingMark {
  return { id, row, first, last, crewId: crews[crew]?.id ?? "", day };
}

function withOwn(log: BlockLog, marks: readonly StandingMark[], pending: readonly Entry[], speaksFor: string | null): StandingMark[] {
  const known = new Map(marks.map((mark) => [mark.id, mark]));
  for (const entry of pending) {
    const mark = markOf(entry);
    if (mark === null || mark.block_id !== log.id || known.has(mark.id)) continue;
    known.set(mark.id, standing(mark));
  }
  const gone = withdrawnBy(pending);
  return [...known.values()].filter(({ id, crewId }) => !(gone.has(id) && (speaksFor === null || speaksFor === crewId)));
}

function standing({ id, row, first, last, crew_id, day, return_id }: Mark): StandingMark {
  return { id, row, first, last, crewId: crew_id, day, ...(return_id === undefined ? {} : { returnId: return_id }) };
}

/** Return what this device marked for the crew today and has not taken back, newest first. */
export function lastActions(entries: readonly Entry[], crewId: string, today: string, timeZone: string): Action[] {
  const gone = withdrawnBy(entries);
  const actions = new Map<string, Action>();
  for (const entry of entries) {
    const mark = markOf(entry);
    if (mark === null || mark.crew_id !== crewId || gone.has(mark.id)) continue;
    if (entry.state === "set_aside" || entry.state === "refused") continue;
    if (dayIn(timeZone, Date.parse(entry.made_at)) !== today) continue;
    const key = `${mark.device_at} ${mark.block_id}`;
    const action = actions.get(key) ?? { at: mark.device_at, block: mark.block_id, marks: [] };
    action.marks.push(standing(mark));
    actions.set(key, action);
  }
  return [...actions.values()].sort((a, b) => (a.at < b.at ? 1 : a.at > b.at ? -1 : 0));
}

/** Return the rows of marks, each once, in order. */
export function rowsOf(marks: readonly { row: number }[]): number[] {
  return [...new Set(marks.map(({ row }) => row))].sort((a, b) => a - b);
}

/** A mark that does not count, and why: set aside by the service, or refused and so on this device only. */
export interface AsideMark extends StandingMark {
  reason: string;
  isRefused: boolean;
}

/** Return this device's marks of a block that the service set aside or refused and nobody took back. */
export function asideMarks(entries: readonly Entry[], block: string): AsideMark[] {
  const gone = withdrawnBy(entries);
  return entries.flatMap((entry) => {
    const mark = markOf(entry);
    if (mark === null || mark.block_id !== block || gone.has(mark.id)) return [];
    if (entry.state !== "set_aside" && entry.state !== "refused") return [];
    return [{ ...standing(mark), reason: entry.reason, isRefused: entry.state === "refused" }];
  });
}
