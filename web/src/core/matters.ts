/** What waits for a manager's word: overlaps, records set aside, crew-days entered twice; and the settlements that answer. */

import { inCodeOrder } from "./block-order";
import type { CountedThing, Mark, Method } from "./contracts";
import type { Stretch } from "./coverage";

export interface NamedCrew {
  id: string;
  name: string;
}
export interface OverlapMark extends Stretch {
  id: string;
  content_hash: string;
  crew_id: string;
  crew: string;
  day: string;
  server_at: string;
  recorder_id: string | null;
  device_id: string | null;
}
export interface StretchSettled extends Stretch {
  number: number;
  credited_crew_id: string | null;
  note: string;
  settled_at: string;
  /** Content hashes of the marks that were looked at; their ids in older settlements. */
  seen: string[];
}
export interface Overlap extends Stretch {
  season_id: string;
  block_id: string;
  row: number;
  trees: number;
  status: "contested" | "reopened";
  crews: NamedCrew[];
  marks: OverlapMark[];
  settlements: StretchSettled[];
}
export type RecordKind = "mark" | "withdrawal" | "check" | "crew_day" | "tree_count";
/** One content that was handed in under the record's id. */
export interface Version {
  content_hash: string;
  reason_code: string;
  reason: string;
  can_count: boolean;
  block_id: string | null;
  row: number | null;
  /** Of what says a stretch; not said of other kinds. */
  first?: number | null;
  last?: number | null;
  /** Of a check or a tree count. */
  position?: number | null;
  /** What was counted on a tree, and how many; null takes a count back. */
  what?: CountedThing | null;
  number?: number | null;
  crew_id: string | null;
  day: string | null;
  server_at: string;
  /** Of a mark. */
  season_id?: string;
  method?: Method;
  recorder_id?: string | null;
  /** Where its trees are, of a record whose row was changed since it was made; null where that is not known. */
  now_at?: (Stretch & { block_id: string; row: number }) | null;
}
export interface AsideRecord {
  kind: RecordKind;
  id: string;
  status: "waiting" | "reopened";
  versions: Version[];
}
export interface CrewDayEntry {
  id: string;
  content_hash: string;
  people: number;
  hours: number;
  recorder_id: string | null;
  device_id: string | null;
  server_at: string;
}
export interface CrewDayMatter {
  crew_id: string;
  day: string;
  method: Method;
  entries: CrewDayEntry[];
}
export interface Matters {
  cursor: number;
  overlaps: Overlap[];
  set_aside: AsideRecord[];
  crew_days: CrewDayMatter[];
}

export interface StretchWord extends Stretch {
  season_id: string;
  block_id: string;
  row: number;
  credited_crew_id: string | null;
}
/** Which version of a record counts, null for none; with the reason it was set aside for as it was shown. */
export interface RecordWord {
  kind: RecordKind;
  id: string;
  content_hash: string | null;
  reason_code: string | null;
}
/** A settlement as it is sent: of a stretch, or of a record. */
export type SettlementBody =
  | { id: string; stretch: StretchWord; seen: string[]; note: string }
  | { id: string; record: RecordWord; seen: string[]; note: string };

/** Whose matters are looked at, and by when. */
export interface MattersAsked {
  crew: string | null;
  /** The crew's blocks: what names no crew is told of these. */
  blocks: ReadonlySet<string>;
  /** The blocks of the chosen variety; null where none is chosen. */
  ofVariety: ReadonlySet<string> | null;
  day: string;
}

/** Return the overlaps and the records set aside that are a crew's own. */
export function mattersOfCrew({ overlaps, set_aside }: Matters, { crew, blocks, ofVariety, day }: MattersAsked): { overlaps: Overlap[]; aside: AsideRecord[] } {
  const isThere = (block: string | null): boolean => ofVariety === null || (block !== null && ofVariety.has(block));
  const isOwn = (version: Version): boolean =>
    version.crew_id === null ? version.block_id !== null && blocks.has(version.block_id) : version.crew_id === crew && isThere(version.block_id);
  return {
    overlaps: overlaps.filter(({ block_id, crews, marks }) => isThere(block_id) && crews.some(({ id }) => id === crew) && new Set(marks.filter((mark) => mark.day <= day).map(({ crew_id }) => crew_id)).size > 1),
    aside: set_aside.filter(({ versions }) => versions.some((version) => isOwn(version) && (version.day === null || version.day <= day))),
  };
}

/** Return overlaps in the order they are worked: re-opened ones first, then by block and row. */
export function inOrder(overlaps: readonly Overlap[], codeOf: (block: string) => string): Overlap[] {
  const order = (one: Overlap): number => (one.status === "reopened" ? 0 : 1);
  return [...overlaps].sort(
    (a, b) =>
      order(a) - order(b) ||
      inCodeOrder(codeOf(a.block_id), codeOf(b.block_id)) ||
      a.row - b.row ||
      a.first - b.first,
  );
}

/** Return from which to which position the marks of an overlap go: they may claim more than is contested. */
export function windowOf(overlap: Overlap): Stretch {
  return {
    first: Math.min(overlap.first, ...overlap.marks.map((mark) => mark.first)),
    last: Math.max(overlap.last, ...overlap.marks.map((mark) => mark.last)),
  };
}

/** Return what one crew claims, its marks joined where they touch. */
export function claimOf(overlap: Overlap, crewId: string): Stretch[] {
  const own = overlap.marks.filter((mark) => mark.crew_id === crewId).sort((a, b) => a.first - b.first);
  const joined: Stretch[] = [];
  for (const { first, last } of own) {
    const before = joined.at(-1);
    if (before && first <= before.last + 1) before.last = Math.max(before.last, last);
    else joined.push({ first, last });
  }
  return joined;
}

/** Return the settlement that held before the overlap was re-opened, or null. */
export function heldBefore(overlap: Overlap): StretchSettled | null {
  return overlap.settlements.reduce<StretchSettled | null>(
    (latest, one) => (latest === null || one.number > latest.number ? one : latest),
    null,
  );
}

/** Return the marks that the last settlement did not look at, or not with this content: what came in since. */
export function cameSince(overlap: Overlap): OverlapMark[] {
  const before = heldBefore(overlap);
  if (before === null) return [];
  const seen = new Set(before.seen);
  return overlap.marks.filter((mark) => !seen.has(mark.content_hash) && !seen.has(mark.id));
}

/** What the manager chose for an overlap. A split gives `from` and what follows to the second crew. */
export type Choice =
  | { how: "crew"; crewId: string }
  | { how: "nobody" }
  | { how: "split"; firstCrewId: string; secondCrewId: string; from: number };

/** Return the positions at which an overlap can be split; null when it is one position only. */
export function splitLimits({ first, last }: Stretch): Stretch | null {
  return first === last ? null : { first: first + 1, last };
}

/** Return the settlements that say what was chosen, each with its own id; all name every mark that was looked at, as it was. */
export function settlementsOf(overlap: Overlap, choice: Choice, note: string, freshId: () => string): SettlementBody[] {
  const { season_id, block_id, row } = overlap;
  const seen = overlap.marks.map((mark) => mark.content_hash).sort();
  return creditsOf(overlap, choice).map(({ first, last, crewId }) => ({
    id: freshId(),
    stretch: { season_id, block_id, row, first, last, credited_crew_id: crewId },
    seen,
    note: note.trim(),
  }));
}

/** Return the settlement of a record set aside: one version counts from now on, or none does (null). */
export function recordSettlement(
  record: { kind: RecordKind; id: string; versions: readonly { content_hash: string; reason_code?: string | null }[] },
  counts: string | null,
  note: string,
  id: string,
): SettlementBody {
  return {
    id,
    record: { kind: record.kind, id: record.id, content_hash: counts, reason_code: record.versions[0]?.reason_code ?? null },
    seen: record.versions.map((version) => version.content_hash).sort(),
    note: note.trim(),
  };
}

/** Return a mark on the trees that a version spoke of, by the same crew on the same day; null where those are not known. */
export function markedThere(version: Version, stamp: { id: string; at: string }): Mark | null {
  const { now_at, season_id, method, crew_id, day, recorder_id } = version;
  if (now_at == null || season_id === undefined || method === undefined || crew_id === null || day === null) return null;
  const by = recorder_id == null ? {} : { recorder_id };
  return { id: stamp.id, season_id, ...now_at, crew_id, day, method, ...by, device_at: stamp.at };
}

const COMPARED = ["block_id", "row", "first", "last", "crew_id", "day"] as const;

/** Return the positions that a version speaks of, or null: a stretch, or the one tree of a check or a tree count. */
export function positionsIn({ first, last, position }: Version): Stretch | null {
  const [from, to] = [first ?? position ?? null, last ?? position ?? null];
  return from === null || to === null ? null : { first: from, last: to };
}

/** Return which parts of a record are not the same in all its versions. */
export function differing(versions: readonly Version[]): ReadonlySet<(typeof COMPARED)[number]> {
  return new Set(COMPARED.filter((part) => new Set(versions.map((version) => version[part])).size > 1));
}

/** Return the settlements by which one crew-day stands and the others of its crew and day are left out. */
export function standingSettlements(matter: CrewDayMatter, stands: string, note: string, freshId: () => string): SettlementBody[] {
  return matter.entries
    .filter((entry) => entry.id !== stands)
    .map((entry) => recordSettlement({ kind: "crew_day", id: entry.id, versions: [entry] }, null, note, freshId()));
}

/** One part of a settled stretch: to whom it is credited, null for nobody. */
export interface Credit extends Stretch {
  crewId: string | null;
}

/** Return what a choice credits, part by part in order. */
export function creditsOf({ first, last }: Stretch, choice: Choice): Credit[] {
  switch (choice.how) {
    case "crew":
      return [{ first, last, crewId: choice.crewId }];
    case "nobody":
      return [{ first, last, crewId: null }];
    case "split":
      return [
        { first, last: choice.from - 1, crewId: choice.firstCrewId },
        { first: choice.from, last, crewId: choice.secondCrewId },
      ];
    default:
      return choice satisfies never;
  }
}
