/**
 * The rules of the outbox: what goes next, what an answer changes, what may be forgotten, how long to wait.
 *
 * Nothing here decides what is true of the rows; that is the service's and the merge model's. A record leaves the
 * device only after an acknowledgement that names its id, and 14 days more by the clocks of both.
 */

import type { Check, CrewDay, Mark, Receipt, Receipts, TreeCount, UnjudgedCheck, Withdrawal } from "./contracts";

/** The version of the wire that this page's records are made under. */
export const WIRE_SCHEMA = 7;
/** Records of one kind in one upload. */
export const BATCH = 200;
/** Where no answer comes uploads are cut down to this: what is too much for the way, or for somebody on it, still gets through. */
export const SMALL_BATCH = 10;
export const KEEP_DAYS = 14;
/** What waits longer than this is said in red. */
export const OLD_DAYS = 3;
/** A clock further off than this is said; nothing is refused for it. */
export const SKEW_S = 300;
const DAY_MS = 86_400_000;

export const KINDS = ["marks", "withdrawals", "checks", "crew_days", "tree_counts"] as const;
export type RecordKind = (typeof KINDS)[number];
/** A record as it goes over the wire; only its id matters here. */
export type WireRecord = Mark | Withdrawal | Check | UnjudgedCheck | CrewDay | TreeCount;

/** What on the screen a record is about: a row, or one position of it. */
export interface Subject {
  block: string;
  row: number;
  position?: number;
}
/** `sent`: acknowledged. `set_aside`: acknowledged, stored, not counted. `refused`: the service will never take it. */
export type EntryState = "waiting" | "sent" | "set_aside" | "refused";
export interface Entry {
  id: string;
  kind: RecordKind;
  farmId: string;
  subject: Subject;
  record: WireRecord;
  schema: number;
  made_at: string;
  state: EntryState;
  reason: string;
  /** This device's clock at the acknowledgement. */
  acked_at: string | null;
  /** The service's clock in it; missing in what older pages kept. */
  acked_server_at?: string | null;
  /** The service's cursor in that acknowledgement: what was read after it holds the record. */
  acked_cursor: number | null;
  epoch: string | null;
  /** This device's clock minus the service's, in seconds, as last known when the record was made; missing where nobody had compared them. */
  skew_s?: number;
  /** The same at the first acknowledgement: by it the service reckoned the day worked. */
  acked_skew_s?: number;
  /** Somebody has read what became of it; it is kept and listed, and no longer counted. */
  seen?: boolean;
}

export interface Batch {
  farmId: string;
  kind: RecordKind;
  schema: number;
  /** The clock that these records were reckoned by before, in seconds off the service's; null for such as were never acknowledged. */
  skew_s: number | null;
  entries: readonly Entry[];
}

/**
 * Return what an upload carries next: the first kind that waits, of one farm, one wire version and one reckoning of the
 * clock, oldest first.
 */
export function nextBatch(entries: readonly Entry[], most = BATCH): Batch | null {
  const waiting = entries.filter((entry) => entry.state === "waiting");
  for (const kind of KINDS) {
    const of = waiting.filter((entry) => entry.kind === kind).sort(byAge);
    const first = of[0];
    if (first === undefined) continue;
    const { farmId, schema } = first;
    const skew_s = reckonedBy(first);
    const same = of.filter((one) => one.farmId === farmId && one.schema === schema && reckonedBy(one) === skew_s);
    return { farmId, kind, schema, skew_s, entries: same.slice(0, Math.max(1, most)) };
  }
  return null;
}

/** To the second, so that the day and the moment come out as they did; a clock that is steadily wrong is heard about alike each time. */
function reckonedBy({ acked_skew_s }: Entry): number | null {
  return acked_skew_s === undefined ? null : Math.round(acked_skew_s) + 0; // no -0
}

/** Order by the moment made, then by id, which sorts by time as well. */
export function byAge(a: Entry, b: Entry): number {
  return a.made_at === b.made_at ? (a.id < b.id ? -1 : 1) : a.made_at < b.made_at ? -1 : 1;
}

/** What an acknowledgement told besides its outcomes. */
export interface Heard {
  /** This device's clock. */
  at: string;
  /** The service's clock, or null where it was not said. */
  server_at: string | null;
  cursor: number;
  epoch: string;
  /** How far the moment that the upload said it was sent at was ahead of the service's clock, in seconds. */
  skew_s?: number;
}

const OUTCOMES: ReadonlySet<unknown> = new Set<Receipt["outcome"]>(["taken", "already_there", "set_aside"]);

/**
 * Return the answer to an upload if it is one, else null: a page of somebody in between may be JSON too.
 *
 * An outcome that is not known here acknowledges nothing: its record waits.
 */
export function receiptsIn(answer: unknown): Receipts | null {
  const { outcomes, cursor, epoch, server_at } = (answer ?? {}) as Partial<Record<keyof Receipts, unknown>>;
  if (!Array.isArray(outcomes) || !Number.isSafeInteger(cursor) || typeof epoch !== "string") return null;
  const receipts = outcomes.flatMap((one: unknown): Receipt[] => {
    const { id, outcome, reason } = (one ?? {}) as Partial<Record<keyof Receipt, unknown>>;
    if (typeof id !== "string" || !OUTCOMES.has(outcome)) return [];
    return [{ id, outcome: outcome as Receipt["outcome"], reason: typeof reason === "string" ? reason : "" }];
  });
  const told = typeof server_at === "string" && !Number.isNaN(Date.parse(server_at)) ? { server_at } : {};
  return { outcomes: receipts, cursor: cursor as number, epoch, ...told };
}

/** Return the entries that the receipts name, as they are now; what no receipt names goes on waiting. */
export function acknowledged(batch: readonly Entry[], receipts: readonly Receipt[], heard: Heard): Entry[] {
  const receiptOf = new Map(receipts.map((receipt) => [receipt.id, receipt]));
  return batch.flatMap((entry) => {
    const receipt = receiptOf.get(entry.id);
    if (receipt === undefined) return [];
    const state: EntryState = receipt.outcome === "set_aside" ? "set_aside" : "sent";
    const { at: acked_at, server_at: acked_server_at, cursor: acked_cursor, epoch } = heard;
    const acked_skew_s = entry.acked_skew_s ?? heard.skew_s;
    const reckoned = acked_skew_s === undefined ? {} : { acked_skew_s };
    return [{ ...entry, state, reason: receipt.reason, acked_at, acked_server_at, acked_cursor, epoch, ...reckoned }];
  });
}

/** Return an entry that the service will never take, with what it said. */
export function refused(entry: Entry, reason: string): Entry {
  return { ...entry, state: "refused", reason };
}

/**
 * Return an entry as it is when it goes to the service anew: nothing that was said to it holds any more.
 *
 * Only the clock that it was reckoned by stays, so that the day worked comes out the same.
 */
export function waitingAgain({ seen: _, ...entry }: Entry): Entry {
  return { ...entry, state: "waiting", reason: "", acked_at: null, acked_server_at: null, acked_cursor: null, epoch: null };
}

function isAcknowledged({ state }: Entry): boolean {
  return state === "sent" || state === "set_aside";
}

/** Return the numbers of the records that a refusal names: "marks.3.row" and "body.marks.3" name the fourth. */
export function namedIndices(where: readonly string[], kind: RecordKind, size: number): Map<number, number> {
  const named = new Map<number, number>();
  where.forEach((one, place) => {
    const index = Number(new RegExp(`(?:^|\\.)${kind}[.[](\\d+)`).exec(one)?.[1] ?? NaN);
    if (Number.isInteger(index) && index < size && !named.has(index)) named.set(index, place);
  });
  return named;
}

/**
 * Return the acknowledged entries that a service of another epoch is offered again: it may be an older copy of itself.
 *
 * The epoch stands in each entry and nowhere else, so that what was heard and what follows from it are written together
 * or not at all.
 */
export function offeredAgain(entries: readonly Entry[], epoch: string): Entry[] {
  return entries.filter((entry) => isAcknowledged(entry) && entry.epoch !== epoch).map(waitingAgain);
}

/**
 * Return the acknowledged entries of a farm that a service no longer holds, though it goes by the same epoch.
 *
 * Its cursor only ever grows, so one below that of an earlier acknowledgement is a database that was put back by other
 * means than `orchardmap restore`.
 */
export function rolledBack(entries: readonly Entry[], farmId: string, heard: Heard): Entry[] {
  return entries
    .filter((entry) => isAcknowledged(entry) && entry.farmId === farmId)
    .filter(({ epoch, acked_cursor }) => epoch === heard.epoch && (acked_cursor ?? 0) > heard.cursor)
    .map(waitingAgain);
}

function isLongPast(then: string | null, now: string | null): boolean {
  return then !== null && now !== null && Date.parse(now) - Date.parse(then) > KEEP_DAYS * DAY_MS;
}

/**
 * Return the ids of a farm's entries that may go after an acknowledgement that told `heard`.
 *
 * The service that speaks must hold them (same epoch, cursor not behind), and 14 days must be past by its clock and by
 * this device's: either may jump. What was set aside stays until somebody has read it.
 */
export function mayForget(entries: readonly Entry[], farmId: string, heard: Heard): string[] {
  return entries
    .filter(({ state, seen }) => state === "sent" || (state === "set_aside" && seen === true))
    .filter((one) => one.farmId === farmId && one.epoch === heard.epoch && one.acked_cursor !== null && one.acked_cursor <= heard.cursor)
    .filter(({ acked_at, acked_server_at }) => isLongPast(acked_at, heard.at) && isLongPast(acked_server_at ?? acked_at, heard.server_at))
    .map(({ id }) => id);
}

/** How far a log, a state or an overview was read: what is not said is not known. */
export interface ReadUpTo {
  cursor: number;
  epoch?: string;
  season_id?: string | null;
}

/**
 * Return a block's entries of the season that what was read does not hold yet.
 *
 * Cursors of two epochs count two databases. What was acknowledged under another epoch than the one read may be missing
 * there, and does no harm where it is not.
 */
export function notInLog(entries: readonly Entry[], block: string, read: ReadUpTo): Entry[] {
  return entries.filter(
    ({ subject, record, state, acked_cursor, epoch }) =>
      subject.block === block &&
      (read.season_id === undefined || !("season_id" in record) || record.season_id === read.season_id) &&
      (state === "waiting" || (state === "sent" && !(isSameEpoch(epoch, read.epoch) && (acked_cursor ?? 0) <= read.cursor))),
  );
}

function isSameEpoch(one: string | null, other: string | undefined): boolean {
  return other === undefined || one === other;
}

/**
 * Return the text of a file that holds records, for handing over by hand; `orchardmap take-in` reads it.
 *
 * It tells how far this device's clock was off by the service's, because nobody knows when the file will be handed in.
 */
export function queueFile(entries: readonly Entry[], made_at: string, skew_s: number | null): string {
  return JSON.stringify({ format: "orchardmap-records", made_at, skew_s, records: entries }, null, 1);
}

/** A photo of a check that the service will never take. */
export interface RefusedPhoto {
  id: string;
  checkId: string;
  /** As the service said it. */
  why: string;
}

export interface Tally {
  waiting: number;
  /** Not read yet by anybody here. */
  setAside: number;
  /** Likewise. */
  refused: number;
  /** Refused and read: still only on this device. */
  refusedSeen: number;
  oldestWaiting: string | null;
}

/** Count what the words about the outbox need. */
export function tally(entries: readonly Entry[]): Tally {
  const waiting = entries.filter(({ state }) => state === "waiting").sort(byAge);
  const number = (of: EntryState, isSeen: boolean): number =>
    entries.filter(({ state, seen }) => state === of && (seen === true) === isSeen).length;
  return {
    waiting: waiting.length,
    setAside: number("set_aside", false),
    refused: number("refused", false),
    refusedSeen: number("refused", true),
    oldestWaiting: waiting[0]?.made_at ?? null,
  };
}

/** Tell whether something has waited for longer than the days after which it is said in red. */
export function isOld(iso: string | null, nowMs: number): boolean {
  return iso !== null && nowMs - Date.parse(iso) > OLD_DAYS * DAY_MS;
}

const FIRST_WAIT_MS = 2_000;
const LONGEST_WAIT_MS = 60_000;

/**
 * Return how long to wait after so many failures in a row: 2 s doubling to 60 s, a random half of it taken off, so that
 * forty tablets do not come back in the same second. What the service asked for is never undercut.
 */
export function waitMs(failures: number, random: number, retryAfter_s: number | null = null): number {
  const full = Math.min(LONGEST_WAIT_MS, FIRST_WAIT_MS * 2 ** Math.min(Math.max(failures - 1, 0), 10));
  const own = full * (1 - random / 2);
  return Math.round(retryAfter_s === null ? own : Math.max(own, retryAfter_s * 1_000 * (1 + random / 10)));
}
