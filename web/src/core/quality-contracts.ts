/** Spot checks on the wire: plans, lots, returns and weak areas, as the service tells and takes them. */

import type { BriefVersion, PointClass } from "./brief-contracts";
import type { LeftOut } from "./stand-ins";
import type { Lonlat, LotVerdict, TreeVerdict } from "./contracts";
import type { Agreement } from "./crew-contracts";

export type Severity = "normal" | "tightened" | "reduced";
export type Inspection = Severity | "discontinued";
export interface TablePlan {
  kind: "attributes";
  level: string;
  aql: number;
  severity: Severity;
}
export interface TwoPointPlan {
  kind: "two_points";
  /** Shares and chances, 0 to 1. */
  p1: number;
  pa1: number;
  p2: number;
  pa2: number;
}
export type LotPlan = TablePlan | TwoPointPlan;
/** A plan as it is asked for: the severity is the crew's memory's unless said. */
export type AskedPlan = TwoPointPlan | (Omit<TablePlan, "severity"> & { severity?: Severity });
/** A run of trees of a row: its first and last position. */
export type TreeRun = [row: number, first: number, last: number];
/** Share of faulty trees, and the chance that such a lot is accepted. */
export type OcPoint = [share: number, chance: number];
export type Span = [low: number, high: number];

export interface Lot {
  id: string;
  number: number;
  block_id: string;
  block_code: string;
  /** Null: all of the block's trees, whoever pruned them. */
  crew_id: string | null;
  /** Empty where there is none. */
  crew: string;
  opened_on: string;
  from_day: string | null;
  /** Null where a return says which trees the lot holds. */
  until_day: string | null;
  lot_trees: number;
  n: number;
  accept: number;
  reject: number;
  plan: LotPlan;
  plan_words: string;
  brief_id: string | null;
  brief_version: number | null;
  seed: number;
  /** Drawn over the trees of a return. */
  return_id: string | null;
  /** The reason, where it was cancelled. */
  cancelled: string | null;
  checked: number;
  faulty: number;
  minor: number;
  meets: number;
  verdict: LotVerdict;
  is_decided: boolean;
  /** Trees that could not be judged, by reason; not said by an older service. */
  not_judged?: { reason: LeftOut; words: string; trees: number }[];
  /** It was accepted, and would not have been, had those trees been faulty. */
  hangs_on_words?: boolean;
  sentences: string[];
  /** Ids of the returns made from it. */
  returns: string[];
  /** It was sent back, all its trees were gone over again, and a new check accepted them. */
  put_right: boolean;
  /** Of a lot that was sent back: its trees that no return holds. */
  not_sent_back: number;
  /** The same trees as runs: row, first, last. */
  rest: TreeRun[];
  risks: string[];
}
export interface LotCheck {
  id: string;
  verdict: TreeVerdict;
  /** Keys of the points that were not met. */
  failed: string[];
  day: string;
  auditor_id: string | null;
  note: string;
  /** Ids. */
  photos?: string[];
}
export interface LotTree {
  /** In the order of the draw, from 1. */
  number: number;
  row: number;
  position: number;
  is_extra: boolean;
  /** It stands in for a tree that cannot be judged. */
  stands_in?: boolean;
  not_judged?: { reason: LeftOut; words: string; day: string | null; auditor_id: string | null; note: string } | null;
  check: LotCheck | null;
  second: LotCheck | null;
}
export interface LotPoint {
  key: string;
  sentence: string;
  class: PointClass;
  checked: number;
  failed: number;
}
export interface FullLot extends Lot {
  oc: OcPoint[];
  trees: LotTree[];
  /** Further trees, in the order of the draw: the next one stands in where one cannot be judged. */
  reserve?: [row: number, position: number][];
  /** All trees in walking order. */
  walk: [row: number, position: number][];
  interval: { wilson: Span; lot_faulty: Span; confidence: number } | null;
  two_stage: { share: number; low: number | null; high: number | null; design_effect: number | null; effective_checks: number | null } | null;
  points: LotPoint[];
  brief: BriefVersion | null;
  agreement: Agreement | null;
  weak_areas: WeakArea[];
  /** Runs of trees that the lot holds; for a picture, where it is said. */
  runs?: TreeRun[];
}
/** What is remembered of a crew's lots this season; without crew, of whole blocks. */
export interface CrewMemory {
  crew_id: string | null;
  crew: string;
  inspection: Inspection;
  words: string;
}
/** Pruned trees that no lot holds yet; without crew, those settled for nobody. */
export interface WantingLot {
  block_id: string;
  block_code: string;
  crew_id: string | null;
  /** Empty where there is none. */
  crew: string;
  trees: number;
}
export interface FarmLots {
  season_id: string | null;
  lots: Lot[];
  memory: CrewMemory[];
  /** Where it is not said, blocks say how many trees they have in no lot. */
  wanting?: WantingLot[];
  /** Pruned trees that no lot takes before somebody says who pruned them. */
  to_settle?: { block_id: string; trees: number }[];
}
export interface LotRequest {
  block_id: string;
  crew_id: string | null;
  until_day: string | null;
  plan: AskedPlan | null;
  extra: number | null;
  return_id: string | null;
}
/** What a lot would be: nothing is written yet. */
export interface PlannedLot {
  lot_trees: number;
  rows: number;
  from_day: string | null;
  until_day: string;
  severity: Severity;
  severity_words: string;
  plan: LotPlan;
  plan_words: string;
  n: number;
  accept: number;
  reject: number;
  code_letter: string | null;
  /** Trees drawn besides. */
  extra: number;
  /** Further trees, in case some cannot be judged. */
  reserve?: number;
  oc: OcPoint[];
  risks: string[];
  runs: TreeRun[];
}
/** A lot in a block's pack. */
export interface LotName {
  id: string;
  number: number;
}
/** What a tablet walks of a block. */
export interface BlockLots {
  lots: LotPack[];
  /** Not said by an older service. */
  cancelled?: LotName[];
}
export interface LotPack extends LotName {
  /** The day of its last check where it is decided, else null; not said by an older service. */
  decided_on?: string | null;
  crew_id: string | null;
  lot_trees: number;
  n: number;
  accept: number;
  reject: number;
  brief_id: string | null;
  brief_version: number | null;
  /** Null when it is the pack's own. */
  brief: BriefVersion | null;
  return_id: string | null;
  /** In the order of the draw. */
  trees: [row: number, position: number, isExtra: boolean][];
  /** Further trees, in that order too: the next one stands in where one cannot be judged. None in lots drawn before there were such. */
  reserve?: [row: number, position: number][];
  /** All of these, further ones too. */
  walk: [row: number, position: number][];
}

export type ReturnState = "open" | "redone" | "confirmed" | "failed" | "cancelled";
export interface Return {
  id: string;
  number: number;
  block_id: string;
  block_code: string;
  crew_id: string;
  crew: string;
  due_on: string;
  made_on: string;
  lot_id: string | null;
  area: WeakArea | null;
  points: { key: string; sentence: string }[];
  note: string;
  stretches: TreeRun[];
  /** What is still to be gone over again. */
  open: TreeRun[];
  trees: number;
  trees_open: number;
  state: ReturnState;
  is_late: boolean;
  history: { on: string; what: string; words: string }[];
}
export interface NewReturn {
  id: string;
  block_id: string;
  crew_id: string;
  due_on: string;
  lot_id: string | null;
  area: WeakArea | null;
  points: string[];
  note: string;
  /** Null: all trees of the lot, or the area's pruned ones. */
  stretches: TreeRun[] | null;
}
/** A return in a block's pack. */
export interface ReturnPack {
  id: string;
  number: number;
  crew_id: string;
  due_on: string;
  points: { key: string; sentences: Record<string, string> }[];
  note: string;
  stretches: TreeRun[];
  open: TreeRun[];
}

/** `none`: it was looked at again and chance explains it. */
export type AreaState = "suspect" | "confirmed" | "none";
export interface WeakArea {
  id: string;
  block_id: string;
  block_code: string;
  rows: Span;
  positions: Span;
  checked: number;
  faulty: number;
  /** Pruned ones in it: a return goes over these; not said by an older service. */
  trees?: number;
  llr: number;
  p: number;
  state: AreaState;
  odds_words: string;
  crews: { crew_id: string; crew: string; checked: number; faulty: number }[];
  points: { key: string; sentence: string; failed: number }[];
  returns: string[];
  recheck: { checked: number; faulty: number; p: number } | null;
  ring: Lonlat[];
}
export interface FarmWeakAreas {
  day: string;
  level: number;
  /** Blocks with enough checks to look at. */
  looked_at: number;
  /** What the level means. */
  words: string;
  areas: WeakArea[];
  sensitivity: { level: number; words: string; areas: number }[];
}
