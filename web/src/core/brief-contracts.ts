/** A published brief as the service tells it: what is frozen, and what it says in each language. Names are those on the wire. */

export type PointClass = "critical" | "major" | "minor";

/** One rule, as far as a crew is shown it; its limits are in its sentence. */
export interface BriefPoint {
  /** Names the point for good within its brief. */
  key: string;
  sentences: Record<string, string>;
  picture: string;
  kind: string;
  low: number | null;
  high: number | null;
  unit: string;
  point_class: PointClass;
  is_checked: boolean;
}
/** What to leave on an average tree, each null where nobody has worked it out. */
export interface BudTarget {
  buds_per_limb: number | null;
  buds_per_tree: number | null;
  limbs_per_tree: number | null;
  fruit_per_tree: number | null;
}
export interface BriefContent {
  points: BriefPoint[];
  bud_target: BudTarget;
  /** Language to free text. */
  notes: Record<string, string>;
}
/** What a brief says in one language, limits filled in. */
export interface BriefText {
  points: string[];
  /** Digest of each point's drawing; empty where there is none. */
  pictures: string[];
  /** The last one defers to law, label and licensed practice. */
  cautions: string[];
}
/** The published brief that holds for a block. */
export interface BriefVersion {
  brief_id: string;
  version: number;
  published_at: string;
  content: BriefContent;
  /** By language; the one that it was written in first. */
  texts: Record<string, BriefText>;
}
/** Something dangerous in one block: along some of its rows, or everywhere where there are none. */
export interface Hazard {
  key: string;
  rows: number[];
  /** By language. */
  texts: Record<string, string>;
}
