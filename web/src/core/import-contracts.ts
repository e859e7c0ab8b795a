/** What the import routes answer and take: preview of a file, plan of rows, taking. */

import type { Lonlat } from "./contracts";

export type Geometry =
  | { type: "Point"; coordinates: number[] }
  | { type: "MultiPoint" | "LineString"; coordinates: number[][] }
  | { type: "MultiLineString" | "Polygon"; coordinates: number[][][] }
  | { type: "MultiPolygon"; coordinates: number[][][][] };

export interface Question {
  key: string;
  text: string;
  choices: { value: string; label: string }[];
  /** Nothing can be taken until it is answered. */
  needed?: boolean;
}
export interface PreviewFeature {
  index: number;
  kind: "block" | "row" | "tree";
  name: string;
  geometry: Geometry | null;
  area_ha: number | null;
  notes: string[];
  problem: string | null;
  properties: Record<string, unknown>;
  /** False where the file gives it no name: the one it has was made up. */
  named?: boolean;
  /** Code of the farm's block that it lies upon. */
  upon?: string | null;
}
/** What lies within about 100 km of each other; the first place is the farm's, or of most blocks of the file. */
export interface Place {
  indices: number[];
  farm: boolean;
  away_km: number;
}
export interface Preview {
  token: string;
  format: string;
  crs: string | null;
  layers: string[];
  questions: Question[];
  features: PreviewFeature[];
  summary: string;
  /** What holds for the whole file. */
  notes?: string[];
  /** Codes that blocks of the farm have already. */
  taken_codes?: string[];
  places?: Place[];
}

export interface Planting {
  bearing_deg: number;
  row_spacing_m: number;
  tree_spacing_m: number;
  end_offset_m: number;
  first_row_offset_m: number;
  headland_m: number;
  min_row_length_m: number;
  lines_per_row: number;
  pair_spacing_m: number;
  first_row?: [Lonlat, Lonlat];
}
export interface BlockOrder {
  /** The feature with the outline; left out where only rows were surveyed. */
  index?: number;
  /** Features with surveyed rows. */
  rows?: number[];
  code: string;
  name: string;
  variety_id?: string;
  planting: Planting;
}
export interface PlannedBlock {
  index: number | null;
  code: string;
  rows: number;
  trees: number;
  length_m: number;
  area_ha: number;
  trees_per_ha: number | null;
  textbook_trees_per_ha: number | null;
  lines: number[][][];
  bearings: { code: string; label: string; bearing_deg: number }[];
  /** What somebody should look at. */
  warnings: string[];
  /** What is worth knowing. */
  notes: string[];
  /** Nothing says where rows end but the outline. */
  to_outline: boolean;
  problem: string | null;
}
export interface Plan {
  blocks: PlannedBlock[];
}
export interface Taken {
  blocks: { id: string; code: string; rows: number; trees: number }[];
  left_out: { index: number; name: string; reason: string }[];
}
