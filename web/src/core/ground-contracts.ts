/** What the routes of the ground answer and take. */

import type { Lonlat } from "./contracts";
import type { Geometry, Planting } from "./import-contracts";

export interface GroundRow {
  number: number;
  /** Lines of its parts, first end first, degrees. */
  parts: Lonlat[][];
  /** Positions of each part by the rule. */
  part_positions: number[];
  length_m: number;
  end_offset_m: number;
  positions: number;
  trees: number;
  counted_positions: number | null;
  blanks: number[];
  pollinizers: number[];
  /** Marks in it, of any season. */
  marks: number;
  /** Checks, counts and other records in it. */
  others: number;
}
export interface BlockGround {
  id: string;
  code: string;
  name: string;
  variety_id: string | null;
  version: string;
  area_ha: number;
  outline: Geometry | null;
  planting: Planting | null;
  rows: GroundRow[];
}

export type GroundEdit = { block: string } & (
  | { kind: "drop-rows" | "turn-rows"; rows: number[] }
  | { kind: "number-rows"; numbers: [now: number, then: number][] }
  | { kind: "move-row"; row: number; parts: Lonlat[][] }
  | { kind: "add-row"; parts: Lonlat[][]; number: number | null }
  | { kind: "split-row"; row: number; after: number; number: number | null }
  | { kind: "join-rows"; row: number; second: number }
  | { kind: "count-row"; row: number; counted_positions: number | null; blanks: number[]; pollinizers: number[] }
  | { kind: "shift-block"; east_m: number; north_m: number }
  | { kind: "name-block"; code: string; name: string; variety_id: string | null }
  | { kind: "draw-outline"; outline: Geometry }
  | { kind: "lay-block"; planting: Planting; outline?: Geometry; survey?: { token: string; index?: number; rows?: number[] } }
  | { kind: "new-block"; code: string; name: string; variety_id?: string; outline: Geometry; planting: Planting }
  | { kind: "split-block"; cut: [Lonlat, Lonlat]; made: string; code: string; name: string; other_side?: boolean }
  | { kind: "join-blocks"; other: string }
  | { kind: "drop-block" }
);

type RowKey = [block: string, row: number];

export interface RowChange {
  was: RowKey | null;
  now: RowKey | null;
  trees_before: number | null;
  trees: number | null;
  moved_m: number;
  turned: boolean;
  /** How many more than before. */
  blanks: number;
  pollinizers: number;
}
/** What is known of a row in which something was recorded, or of its places. */
export type RowProblemCode = "leaves" | "renumbered" | "turned" | "cut" | "number_used" | "beyond" | "no_tree" | "first_end" | "places_lost";
/** What is known of a whole block. */
export type BlockProblemCode = "shifted" | "skewed" | "outside" | "overlaps";
export type ProblemCode = RowProblemCode | BlockProblemCode;
export interface GroundProblem {
  code: ProblemCode;
  block_id: string;
  row: number;
  marks: number;
  others: number;
  position: number;
  metres: number;
  /** Another block that it is about. */
  other: string;
  hinders: boolean;
}
interface Size {
  code: string;
  name: string;
  variety_id: string | null;
  rows: number;
  trees: number;
  area_ha: number;
}
export interface BlockChange {
  id: string;
  code: string;
  before: Size | null;
  after: Size | null;
}
export interface GroundDifference {
  blocks: (BlockChange & { ground: BlockGround | null })[];
  rows: RowChange[];
  problems: GroundProblem[];
  leaving: { id: string; named: ("brief" | "closure" | "lot" | "return")[] }[];
  can_be_taken: boolean;
  touches_work: boolean;
}
export interface GroundBody {
  id: string;
  edits?: GroundEdit[];
  /** Block -> version that was looked at. */
  seen?: Record<string, string>;
  undoes?: string;
}
export interface TakenChange {
  id: string;
  number: number;
  made_at: string;
  made_by: string;
  undoes: string | null;
  blocks: BlockChange[];
  /** No later change touched its blocks. */
  is_last: boolean;
}
