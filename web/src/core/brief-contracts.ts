/** Briefs on the wire: what a brief says, its versions, and what there is to make one from. */

import type { Habit } from "./contracts";

export type BearingHabit = "tip_renewed" | "tip_alternating" | "spur_renewed" | "spur_long_lived" | "spur_uncut";
export type TrainingSystem = "axis" | "tall_spindle" | "slender_spindle" | "v_trellis";
export type PointKind = "yes_no" | "count" | "ratio" | "at_least" | "at_most" | "angle";
export type PointUnit = "" | "limbs" | "buds" | "cuts" | "cm" | "deg";
export type PointClass = "critical" | "major" | "minor";
/** ISO 639-1 code to text; the first one is the language it was written in. */
export type Texts = Readonly<Record<string, string>>;

export interface Point {
  /** Names the point for good within its brief. */
  readonly key: string;
  readonly sentences: Texts;
  readonly picture: string;
  readonly kind: PointKind;
  readonly low: number | null;
  readonly high: number | null;
  readonly unit: PointUnit;
  readonly point_class: PointClass;
  readonly is_checked: boolean;
  readonly source: string;
}
export interface BudTarget {
  readonly fruit_per_tree: number | null;
  readonly buds_per_tree: number | null;
  readonly buds_per_limb: number | null;
  readonly limbs_per_tree: number | null;
}
export interface BriefContent {
  readonly format: number;
  readonly habit: BearingHabit;
  readonly is_heavy_setter: boolean;
  readonly points: readonly Point[];
  readonly cautions: readonly string[];
  readonly bud_target: BudTarget;
  readonly notes: Texts;
}
/** What a brief says in one language, limits filled in. */
export interface BriefText {
  points: string[];
  /** Digest of each point's drawing; empty where there is none. */
  pictures: string[];
  /** The last one defers to law, label and licensed practice. */
  cautions: string[];
}
export interface SaidBrief {
  content: BriefContent;
  texts: Record<string, BriefText>;
}
export interface VersionHead {
  version: number;
  published_at: string;
  /** A name; not said to who does not write briefs, nor by an older service. */
  published_by?: string;
}
/** The published brief that holds for a block. */
export interface BriefVersion extends SaidBrief {
  brief_id: string;
  version: number;
  published_at: string;
}
/** Something dangerous in one block: along some of its rows, or everywhere where there are none. */
export interface Hazard {
  key: string;
  rows: number[];
  /** By language. */
  texts: Record<string, string>;
}
/** What the weather of a table calls for in one block, on the days from one to another. */
export interface TimingNotice {
  key: string;
  /** ISO days, both of them included. */
  from: string;
  until: string;
  /** By language. */
  texts: Record<string, string>;
}
/** A brief in the season's list. */
export interface BriefLine {
  id: string;
  season_id: string;
  variety_id: string | null;
  block_id: string | null;
  latest: VersionHead | null;
  /** Not said to who does not write briefs. */
  is_changed?: boolean;
}
export interface BriefProblem {
  where: string;
  /** In English. */
  what: string;
  /** The same by language; not told by an older service. */
  texts?: Texts;
}
export interface BriefDraft extends SaidBrief {
  revision: number;
  saved_at: string;
  saved_by: string;
  problems: BriefProblem[];
}
export interface WrittenBrief {
  id: string;
  season_id: string;
  variety_id: string | null;
  block_id: string | null;
  versions: VersionHead[];
  /** What crews go by; null where nothing was published. */
  latest: BriefVersion | null;
  draft: BriefDraft;
}
export interface BriefDifference {
  kind: "point_added" | "point_removed" | "point_moved" | "point_changed" | "brief_changed";
  point_key: string;
  part: string;
  language: string;
  old: unknown;
  new: unknown;
}
export interface Caution {
  key: string;
  sentences: Texts;
  source: string;
}
export interface ReadyMadeBriefs {
  briefs: SaidBrief[];
  /** Points that may be added to any brief. */
  points: Point[];
  /** What each of them says by language, limits filled in. */
  point_texts: Texts[];
  pictures: string[];
  cautions: Caution[];
}
export interface Cultivar {
  name: string;
  habit: Habit;
  source: string;
  doubt: "" | "weak" | "disputed";
  suiting_habits: BearingHabit[];
}
/** What a brief is for. */
export type BriefSubject = { variety_id: string } | { block_id: string };
export type BriefStart =
  | { ready_made: { habit: BearingHabit; is_heavy_setter: boolean; system: TrainingSystem } }
  | { copy_of: string };
