/** What the service answers and takes, as laid down in its OpenAPI document. Names are those on the wire. */

import type { BriefVersion, BudTarget, Hazard, TimingNotice } from "./brief-contracts";
import type { LotName, LotPack } from "./quality-contracts";

export type Lonlat = [lon: number, lat: number];
export type TreeVerdict = "meets" | "minor" | "faulty";
export type LotVerdict = "accepted" | "send_back" | "too_few";
/** `accepted_in_part`: many of its pruned trees are in no lot. `not_begun`: nothing is pruned yet, so there is no lot to judge. */
export type BlockVerdict = LotVerdict | "accepted_in_part" | "not_begun";
export type Method = "ladder" | "platform" | "ground";
export type Role = "manager" | "foreman" | "auditor" | "adviser" | "worker";
export type Habit = "spur" | "tip" | "both" | "unknown";

export interface FarmName {
  id: string;
  name: string;
  time_zone: string;
  today: string;
}
export type Access = "manager" | "foreman" | "auditor" | "adviser";
/** A farm that somebody may enter, and as what. */
export interface FarmAccess extends FarmName {
  role: Access;
  crew_id: string | null;
}
/** The tablet that asks, and who holds it. */
export interface PairedDevice {
  id: string;
  name: string;
  farm_id: string;
  role: Access;
  crew_id: string | null;
  holder: { id: string; name: string } | null;
}
/** Who asks, as the service sees it. */
export interface Who {
  state: "first_start" | "nobody" | "account" | "device";
  name: string;
  login: string | null;
  makes_farms: boolean;
  /** Whether the account has a password; not said by an older service. */
  has_password?: boolean;
  /** A one-time link let it in less than ten minutes ago: a new password needs no old one. Not said by an older service. */
  fresh_link?: boolean;
  farms: FarmAccess[];
  device: PairedDevice | null;
  /** What the browser still carries but no longer lets it in: a session that ended, or a pairing. */
  lapsed?: "session" | "device" | null;
  epoch: string | null;
  version: string;
}
export interface Season {
  id: string;
  name: string;
  opens_on: string;
  must_finish_on: string;
  closed: boolean;
}
export interface Crew {
  id: string;
  name: string;
  foreman_id: string | null;
  method: Method;
  people: number | unknown[];
}
export interface Person {
  id: string;
  name: string;
  role: Role;
  crew_id: string | null;
}
export interface Variety {
  id: string;
  name: string;
  habit: Habit;
  habit_source: string;
  is_biennial: boolean;
  is_canker_prone: boolean;
}
export interface Farm extends FarmName {
  season: Season | null;
  seasons: Season[];
  crews: Crew[];
  people: Person[];
  varieties: Variety[];
}

export interface ClosedUntil {
  until: string;
  reason: string;
}
export interface Figures {
  trees: number;
  pruned: number;
  share: number;
  rows: number;
  rows_done: number;
  overlap_trees: number;
  set_aside: number;
  trees_left: number;
  /** Of a season that is over by that day; not said by an older service. */
  season_ended_on?: string | null;
  working_days_left: number | null;
  needed_per_day: number | null;
  recent_per_day: number | null;
  /** How many worked days that is the mean of, ten at most. */
  recent_days: number;
  checked: number;
  meets: number;
  minor: number;
  faulty: number;
  /** Trees gone over again since they were checked last: they are none of the three before. Not said by an older service. */
  gone_over?: number;
  /** Trees drawn by plan, and the faulty ones among them that were not gone over since, and that were: a verdict rests on these alone. */
  drawn: number;
  drawn_faulty: number;
  faulty_gone_over?: number;
  /** Blocks by their verdict. */
  lots: Record<Exclude<BlockVerdict, "not_begun">, number>;
  /** Standing areas, returns not gone over, and those beyond their day; not said by an older service. */
  weak_areas?: number;
  returns_open?: number;
  returns_late?: number;
}
export interface BlockSummary {
  id: string;
  code: string;
  name: string;
  variety: string | null;
  habit: Habit | null;
  rows: number;
  trees: number;
  pruned: number;
  overlap: number;
  overlap_rows: number[];
  /** Records of this block that wait for the manager. */
  set_aside: number;
  area_ha: number;
  /** Not kept by a tablet of another season. */
  rows_done?: number;
  checked: number;
  meets?: number;
  faulty: number;
  minor: number;
  gone_over?: number;
  drawn: number;
  /** Without those gone over again since. */
  drawn_faulty: number;
  /** Those; not said by an older service. */
  faulty_gone_over?: number;
  /** Trees that the plan wants drawn, and how many of them may be faulty; null when not begun. */
  must_check: number | null;
  may_fail: number | null;
  verdict: BlockVerdict;
  /** Lots that wait for checks, and pruned trees that no lot holds; not said by an older service. */
  lots_open?: number;
  uninspected?: number;
  /** Trees to be gone over again for a return, and weak areas that no return was made for; not said by an older service. */
  again?: number;
  weak?: number;
  /** The crew that it is given to, and its place there, 1 for the next one; null where a tablet shows it as nobody's own. Not said by an older service. */
  queue?: { crew_id: string; place: number } | null;
  closed: ClosedUntil | null;
  lonlat: Lonlat;
  bbox: [number, number, number, number];
  shape_version: string;
}
export interface Overview {
  farm_id: string;
  day: string;
  season_id: string | null;
  cursor: number;
  epoch: string;
  figures: Figures;
  blocks: BlockSummary[];
}

/** One row of the immutable shape document. `p` positions, `e` end offset in metres. */
export interface ShapeRow {
  n: number;
  p: number;
  e: number;
  parts: [positions: number, xy: number[]][];
  blanks?: number[];
  pollinizers?: number[];
  counted?: boolean;
}
export interface BlockShape {
  id: string;
  version: string;
  /** The change that made its ground what it is; not said by an older service. */
  ground?: string;
  /** Where the numbers of the parts count from, and how many degrees one of them is. */
  origin?: Lonlat;
  unit_deg?: number;
  rows: ShapeRow[];
}
export type RunKind = 1 | 2 | 3;
export type Run = [row: number, first: number, last: number, kind: RunKind, crewIndex: number];
export type CheckLine = [
  id: string, row: number, position: number, verdict: TreeVerdict, day: string,
  auditorName: string | null, note: string, drawn: boolean,
  // not said by an older service, and `failed` of a check of this device's own not before the service has answered
  lotId?: string | null, failed?: string[], isPast?: boolean, isSecond?: boolean,
];
/** Why a lot's tree could not be judged. */
export type NotJudged = "gone" | "unreachable" | "not_pruned" | "other";
export type UnjudgedLine = [id: string, row: number, position: number, reason: NotJudged, day: string, lotId: string];
export interface BlockState {
  id: string;
  day: string;
  cursor: number;
  crews: { id: string; name: string }[];
  runs: Run[];
  checks: CheckLine[];
  /** Trees of lots that could not be judged; not said by an older service. */
  not_judged?: UnjudgedLine[];
  /** What the points say, in English, whose keys stand under `failed`; not said by an older service. */
  point_words?: Record<string, string>;
  closed: ClosedUntil | null;
}

/** A mark that stands: of `crewIndex` in the log's crews. */
export type LogMark = [id: string, row: number, first: number, last: number, crewIndex: number, day: string];
/** Trees that a crew must go over again by a day, with the marks that answer so far. */
export interface BlockReturn {
  id: string;
  number: number;
  crew_id: string;
  due_on: string;
  /** What to do better, by language. */
  points: { key: string; sentences: Record<string, string> }[];
  note: string;
  stretches: [row: number, first: number, last: number][];
  answers: LogMark[];
}
/** What the merge model needs of a block: standing marks, and what was settled; of `marks` the ids that were seen as they stand here. */
export interface BlockLog {
  id: string;
  season_id: string | null;
  cursor: number;
  epoch: string;
  /** Of the rows that it speaks of; not said by an older service. */
  shape_version?: string;
  crews: { id: string; name: string }[];
  marks: LogMark[];
  settlements: [
    number: number, id: string, row: number, first: number, last: number, crewIndex: number, seen: string[],
  ][];
  /** Those that are open, or gone over again and not checked yet; not said by an older service. */
  returns?: BlockReturn[];
}
/** What is counted on a sample tree. */
export type CountedThing = "buds_before" | "buds_after" | "limbs" | "buds_on_limb";
/** A count that stands; without a number, in this device's own alone, it takes another one back. */
export type CountLine = [id: string, row: number, position: number, what: CountedThing, number: number | null, isDrawn: boolean];
/** Counts of a block's sample trees. */
export interface BlockCounts {
  id: string;
  season_id: string | null;
  cursor: number;
  epoch: string;
  trees: number;
  target: BudTarget | null;
  /** How well a mean is to be known; not said by an older service. */
  aim?: { half_width_share: number; confidence: number };
  lines: CountLine[];
}
/** What the counts of a block say of one thing. */
export interface CountTold {
  what: CountedThing;
  trees: number;
  mean: number;
  low: number | null;
  high: number | null;
  cv: number | null;
  trees_needed: number | null;
  is_enough: boolean;
  /** How many of the trees no draw proposed. */
  chosen: number;
}
/** What was counted on a farm this season: blocks with any counts, and varieties over such blocks, each weighed by its trees. */
export interface FarmCounts {
  blocks: { id: string; code: string; variety_id: string | null; trees: number; target: BudTarget | null; told: CountTold[] }[];
  varieties: { id: string; name: string; told: { what: CountedThing; blocks: number; trees: number; mean: number }[] }[];
}
/** Everything a tablet needs to work in a block without a connection. */
export interface BlockPack {
  summary: BlockSummary;
  shape: BlockShape;
  log: BlockLog;
  state: BlockState;
  /** Null where none is published; not said by an older service. */
  brief?: BriefVersion | null;
  /** By language, what always stands on a brief, where there is none; not said by an older service. */
  cautions?: Record<string, string[]> | null;
  /** What is dangerous in this block beside what every brief warns of; not said by an older service. */
  hazards?: Hazard[];
  /** What the weather calls for on which days; not said by an older service. */
  timing?: TimingNotice[];
  /** Not said by an older service. */
  counts?: BlockCounts;
  /** Open lots, and those decided lately; not said by an older service. */
  lots?: LotPack[];
  /** Lots that were cancelled: checks of theirs judge nothing; not said by an older service. */
  lots_cancelled?: LotName[];
}
export interface Packs {
  epoch: string;
  cursor: number;
  made_at: string;
  blocks: BlockPack[];
  /** Drawings that the briefs name, by digest, as SVG; not said by an older service. */
  pictures?: Record<string, string>;
}

export interface Mark {
  id: string;
  season_id: string;
  block_id: string;
  row: number;
  first: number;
  last: number;
  crew_id: string;
  day: string;
  method: Method;
  recorder_id?: string;
  device_id?: string;
  device_at: string;
  /** The return that it answers: its trees were gone over again, and nobody's work is changed by it. */
  return_id?: string;
  /** The ground it was made on: where rows were changed since, it may speak of other trees. */
  ground?: string;
}
export interface Withdrawal {
  id: string;
  mark_id: string;
  reason?: string;
  recorder_id?: string;
  device_id?: string;
  device_at: string;
}
/** Key of a point of the brief, and what was found on the tree: yes or no, or a number in the point's unit. */
export type Finding = [key: string, found: number | boolean];
interface AnyCheck {
  id: string;
  season_id: string;
  block_id: string;
  row: number;
  position: number;
  auditor_id?: string;
  day: string;
  drawn: boolean;
  note?: string;
  /** The brief, and its version, that the tree was judged by, or would have been. */
  brief_id?: string;
  brief_version?: number;
  device_id?: string;
  device_at: string;
  /** As of a mark. */
  ground?: string;
}
export interface Check extends AnyCheck {
  verdict: TreeVerdict;
  /** The lot that the tree was drawn for. */
  lot_id?: string;
  /** Point by point; one that could not be judged is left out. */
  findings?: Finding[];
  /** A second look, by another auditor: it judges no lot. */
  second?: true;
}
/** A check of a lot's tree that could not be judged: it has no verdict, and the next tree of the draw stands in. */
export interface UnjudgedCheck extends AnyCheck {
  not_judged: NotJudged;
  lot_id: string;
}
/** People and hours of a crew on one day, entered at knock-off. */
export interface CrewDay {
  id: string;
  season_id: string;
  crew_id: string;
  day: string;
  people: number;
  hours: number;
  method: Method;
  recorder_id?: string;
  replaces_id?: string;
  device_id?: string;
  device_at: string;
}
/** The count of one sample tree. */
export interface TreeCount {
  id: string;
  season_id: string;
  block_id: string;
  row: number;
  position: number;
  what: CountedThing;
  /** Null takes back the count that is replaced. */
  number: number | null;
  day: string;
  recorder_id?: string;
  seed?: number;
  replaces_id?: string;
  device_id?: string;
  device_at: string;
  /** As of a mark. */
  ground?: string;
}
export interface Receipt {
  id: string;
  outcome: "taken" | "already_there" | "set_aside";
  reason: string;
}
export interface Receipts {
  outcomes: Receipt[];
  cursor: number;
  epoch: string;
  /** The service's clock, UTC. */
  server_at?: string;
}
/** A mark as the service keeps it. */
export interface KeptMark {
  id: string;
  row: number;
  first: number;
  last: number;
  crew_id: string;
  day: string;
  /** Null where only a device's own copy is at hand. */
  method: Method | null;
  recorder_id: string | null;
  /** The moment the service took it; the day alone where only a device's own copy is at hand. */
  server_at: string;
  /** The return that it answers; not said by an older service. */
  return_id?: string | null;
  withdrawn: boolean;
  set_aside: string | null;
}
export interface Changes {
  changes: { seq: number; kind: string; subject_id: string; block_id: string | null; row: number | null }[];
  cursor: number;
  epoch: string;
  server_at?: string;
}
