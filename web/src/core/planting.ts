/** What is typed about a block's planting, and the numbers it becomes, or what is wrong with which field. */

import type { Lonlat } from "./contracts";
import type { Planting } from "./import-contracts";
import { typedNumber } from "./numbers";
import { IMPORT } from "./set-up-wording";

export const PLANTING_FIELDS = [
  "row_spacing_m",
  "tree_spacing_m",
  "end_offset_m",
  "first_row_offset_m",
  "headland_m",
  "bearing_deg",
] as const;
export type PlantingField = (typeof PLANTING_FIELDS)[number];
export type PlantingText = Record<PlantingField, string>;
export type FirstRow = [Lonlat, Lonlat];
export type PlantingProblems = Partial<Record<PlantingField, string>>;

/** What nobody can guess stays empty, and so does the first-row offset, which is half a row then; the rest starts at nothing. */
export const UNTYPED: PlantingText = {
  row_spacing_m: "",
  tree_spacing_m: "",
  end_offset_m: "0",
  first_row_offset_m: "",
  headland_m: "0",
  bearing_deg: "",
};
const MIN_ROW_LENGTH_M = 3;

function problemWith(field: PlantingField, text: string): string | null {
  const value = typedNumber(text);
  if (field === "first_row_offset_m" && text.trim() === "") return null;
  if (value === null) return field === "bearing_deg" && text.trim() === "" ? IMPORT.needsBearing : IMPORT.mustBeNumber;
  if (field === "bearing_deg") return value >= 0 && value < 360 ? null : IMPORT.bearingRange;
  if (field === "row_spacing_m" || field === "tree_spacing_m") return value > 0 ? null : IMPORT.mustBePositive;
  return value >= 0 ? null : IMPORT.mustNotBeNegative;
}

/** Return what is wrong, by field; two points on row 1 stand in for bearing and first-row offset. */
export function plantingProblems(text: PlantingText, firstRow: FirstRow | null): PlantingProblems {
  const problems: PlantingProblems = {};
  for (const field of PLANTING_FIELDS) {
    if (firstRow !== null && (field === "bearing_deg" || field === "first_row_offset_m")) continue;
    const problem = problemWith(field, text[field]);
    if (problem !== null) problems[field] = problem;
  }
  return problems;
}

/** Return the planting; fields that do not read as numbers take `instead` (used to ask for suggestions early). */
export function plantingOf(text: PlantingText, firstRow: FirstRow | null, instead: PlantingText = UNTYPED): Planting {
  const number = (field: PlantingField): number => {
    const typed = problemWith(field, text[field]) === null ? text[field] : instead[field];
    return typedNumber(typed) ?? 0;
  };
  const rowSpacing_m = number("row_spacing_m");
  const offset = text.first_row_offset_m.trim();
  return {
    bearing_deg: number("bearing_deg"),
    row_spacing_m: rowSpacing_m,
    tree_spacing_m: number("tree_spacing_m"),
    end_offset_m: number("end_offset_m"),
    first_row_offset_m: offset === "" ? rowSpacing_m / 2 : number("first_row_offset_m"),
    headland_m: number("headland_m"),
    min_row_length_m: MIN_ROW_LENGTH_M,
    lines_per_row: 1,
    pair_spacing_m: 0,
    ...(firstRow === null ? {} : { first_row: firstRow }),
  };
}

/** Return short codes for blocks that have none: their own name where it is short and free, else B1, B2, ... */
export function blockCodes(names: readonly string[], taken: readonly string[] = []): string[] {
  const used = new Set<string>(taken);
  return names.map((name, index) => {
    const own = name.trim();
    let code = own.length > 0 && own.length <= 6 && !used.has(own) ? own : `B${index + 1}`;
    while (used.has(code)) code += "a";
    used.add(code);
    return code;
  });
}
