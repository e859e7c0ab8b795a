/**
 * The merge model: what is pruned in a block, from the service's log of it and what still waits on this device.
 *
 * A pure function of the *set* of records: order, repeats and the way an upload was cut change nothing. The same rules
 * stand in Python (`orchardmap/work/settling.py`, `orchardmap/work/merging.py`); both are held to `tests/vectors`.
 */

import type { BlockLog, Mark, Run, Withdrawal } from "./contracts";

export type { BlockLog } from "./contracts";

/**
 * A record of this device that `log` cannot hold yet: waiting, or acknowledged at a later cursor than the log's.
 *
 * One that the log may already hold does no harm, unless it was withdrawn there since: leave those out.
 */
export type PendingRecord = (
  | { kind: "marks"; record: Pick<Mark, "id" | "block_id" | "row" | "first" | "last" | "crew_id" | "return_id"> }
  | { kind: "withdrawals"; record: Pick<Withdrawal, "id" | "mark_id"> }
) & {
  /** The crew that this device may speak for; null speaks for any. */
  forCrewId: string | null;
};

export type RunStatus = "done" | "contested" | "settled" | "reopened";
export interface StatedRun {
  row: number;
  first: number;
  last: number;
  status: RunStatus;
  /** Credited with it; -1 while it is held, and when it was settled for nobody. */
  crewIndex: number;
}
interface Claim {
  id: string;
  row: number;
  first: number;
  last: number;
  crewIndex: number;
}
type Settlement = BlockLog["settlements"][number];

/**
 * Return what became of every position that a standing mark covers, by row and position; each run is as long as it can be.
 *
 * `positions` holds every row of the block with its number of positions. A pending mark that does not fit its row will be set
 * aside by the service, so it does not count here; nor does one of a crew that none of its senders may speak for. One that the
 * log holds is cut at the row's end.
 */
export function statedRuns(
  log: BlockLog,
  positions: ReadonlyMap<number, number>,
  pending: readonly PendingRecord[] = [],
): StatedRun[] {
  const claims = byRow(standing(log, positions, pending), ({ row }) => row);
  const settlements = byRow(log.settlements, ([, , row]) => row);
  return [...claims.keys()]
    .sort((a, b) => a - b)
    .flatMap((row) => rowRuns(row, claims.get(row) ?? [], settlements.get(row) ?? [], positions.get(row) ?? 0));
}

/** Return the same as the service's runs without returns (see `again.ts`): kind 1 pruned, 2 held. */
export function blockRuns(
  log: BlockLog,
  positions: ReadonlyMap<number, number>,
  pending: readonly PendingRecord[] = [],
): Run[] {
  return statedRuns(log, positions, pending).map(({ row, first, last, status, crewIndex }) => [
    row,
    first,
    last,
    isHeld(status) ? 2 : 1,
    crewIndex,
  ]);
}

/** Tell whether nobody is credited with it yet, because two crews claim it. */
export function isHeld(status: RunStatus): boolean {
  return status === "contested" || status === "reopened";
}

function byRow<T>(all: readonly T[], rowOf: (one: T) => number): Map<number, T[]> {
  const rows = new Map<number, T[]>();
  for (const one of all) rows.set(rowOf(one), [...(rows.get(rowOf(one)) ?? []), one]);
  return rows;
}

/**
 * Return the marks that stand: known by one content only, and not taken back by somebody who may.
 *
 * Of this device's own those that answer the return `returnId`; without one those that answer none.
 */
export function standing(
  log: Pick<BlockLog, "id" | "crews" | "marks">,
  positions: ReadonlyMap<number, number>,
  pending: readonly PendingRecord[],
  returnId?: string,
): Claim[] {
  const crewIndex = new Map(log.crews.map(({ id }, index) => [id, index]));
  const scopes = scopesOf(pending);
  const claims = log.marks.map(([id, row, first, last, crew]): Claim => ({ id, row, first, last, crewIndex: crew }));
  const unfit = new Set<string>();
  for (const one of pending) {
    if (one.kind !== "marks" || one.record.block_id !== log.id || one.record.return_id !== returnId) continue;
    const { id, row, first, last, crew_id } = one.record;
    const claim = { id, row, first, last, crewIndex: crewIndex.get(crew_id) ?? -1 };
    // what the log holds as standing was let count, whatever it says
    const counts = fits(claim, positions) && maySpeak(scopes.get(id), [crew_id]);
    if (!counts && !claims.some((other) => isSame(other, claim))) unfit.add(id);
    claims.push(claim);
  }
  const versions = new Map<string, Claim>();
  for (const claim of claims) {
    const other = versions.get(claim.id);
    if (other !== undefined && !isSame(other, claim)) unfit.add(claim.id);
    versions.set(claim.id, claim);
  }
  const taken = takenBack(pending, scopes, (mark) => {
    const crew = versions.get(mark)?.crewIndex;
    return crew === undefined ? [] : [log.crews[crew]?.id ?? ""];
  });
  return [...versions.values()].filter(({ id }) => !unfit.has(id) && !taken.has(id));
}

function fits({ row, first, last, crewIndex }: Claim, positions: ReadonlyMap<number, number>): boolean {
  return crewIndex >= 0 && first >= 1 && first <= last && last <= (positions.get(row) ?? 0);
}

/** Return for each record which crews those who handed it in may speak for: a set, whoever came first. */
function scopesOf(pending: readonly PendingRecord[]): Map<string, Set<string | null>> {
  const found = new Map<string, Set<string | null>>();
  for (const { record, forCrewId } of pending) found.set(record.id, (found.get(record.id) ?? new Set()).add(forCrewId));
  return found;
}

/** Tell whether senders of these scopes may speak for all of these crews. */
function maySpeak(scopes: ReadonlySet<string | null> | undefined, crews: readonly string[]): boolean {
  return scopes !== undefined && (scopes.has(null) || crews.every((crew) => scopes.has(crew)));
}

/** Return the marks that withdrawals take back; one that says two things, or comes from another crew's device, takes back none. */
function takenBack(
  pending: readonly PendingRecord[],
  scopes: ReadonlyMap<string, ReadonlySet<string | null>>,
  crewsOf: (mark: string) => string[],
): Set<string> {
  const named = new Map<string, Set<string>>();
  for (const { record } of pending.filter(isWithdrawal)) {
    named.set(record.id, (named.get(record.id) ?? new Set()).add(record.mark_id));
  }
  return new Set(
    [...named].flatMap(([id, marks]) => (marks.size === 1 ? [...marks].filter((mark) => maySpeak(scopes.get(id), crewsOf(mark))) : [])),
  );
}

function isWithdrawal(one: PendingRecord): one is Extract<PendingRecord, { kind: "withdrawals" }> {
  return one.kind === "withdrawals";
}

function isSame(one: Claim, other: Claim): boolean {
  return (["id", "row", "first", "last", "crewIndex"] as const).every((key) => one[key] === other[key]);
}

/** Return the runs of one row: its marks and settlements cut it into pieces within which nothing changes. */
function rowRuns(row: number, claims: readonly Claim[], settlements: readonly Settlement[], end: number): StatedRun[] {
  const cuts = new Set<number>([1, end + 1]);
  for (const { first, last } of claims) cuts.add(first).add(last + 1);
  for (const [, , , first, last] of settlements) cuts.add(first).add(last + 1);
  const edges = [...cuts].filter((at) => at >= 1 && at <= end + 1).sort((a, b) => a - b);
  const runs: StatedRun[] = [];
  edges.slice(0, -1).forEach((first, at) => {
    const last = (edges[at + 1] ?? first) - 1;
    const here = claims.filter((claim) => claim.first <= first && first <= claim.last);
    if (here.length === 0) return;
    const judged = judge(here, settlements.filter(([, , , a, b]) => a <= first && first <= b));
    const before = runs.at(-1);
    const goesOn = before !== undefined && before.last === first - 1;
    if (goesOn && before.status === judged.status && before.crewIndex === judged.crewIndex) before.last = last;
    else runs.push({ row, first, last, ...judged });
  });
  return runs;
}

/** Return the settlement that holds: of the greatest number, and among equals of the greatest id; null if that says two things. */
function lastWord(covering: readonly Settlement[]): Settlement | null {
  const later = (a: Settlement, b: Settlement): boolean => a[0] > b[0] || (a[0] === b[0] && a[1] > b[1]);
  const content = ([, , , first, last, crew, seen]: Settlement): string =>
    JSON.stringify([first, last, crew, [...new Set(seen)].sort()]);
  const word = covering.reduce((best, one) => (later(one, best) ? one : best));
  const same = covering.filter((one) => !later(word, one));
  return new Set(same.map(content)).size === 1 ? word : null;
}

/** Return what becomes of positions that all these marks and settlements cover. */
function judge(
  claims: readonly Claim[],
  settlements: readonly Settlement[],
): Pick<StatedRun, "status" | "crewIndex"> {
  if (settlements.length === 0) {
    const crews = new Set(claims.map(({ crewIndex }) => crewIndex));
    const [only = -1] = crews;
    return crews.size === 1 ? { status: "done", crewIndex: only } : { status: "contested", crewIndex: -1 };
  }
  const word = lastWord(settlements);
  const seen = new Set(word?.[6]);
  // a mark that the manager has not seen opens the matter again: it must not vanish behind an earlier word
  if (word === null || !claims.every(({ id }) => seen.has(id))) return { status: "reopened", crewIndex: -1 };
  return { status: "settled", crewIndex: word[5] };
}
