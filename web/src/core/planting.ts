/** What is typed about a block's planting, and the numbers it becomes, or what is wrong with which field. */

import type { Lonlat } from "./contracts";
import type { Planting } from "./import-contracts";
import { typedNumber } from "./numbers";
import { bearingBetween_deg } from "./plan-frame";
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
    bearing_deg: firstRow === null ? number("bearing_deg") : bearingBetween_deg(...firstRow),
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

const MOST_OF_A_NAME = 6;
const MOST_OF_A_CODE = 20;

/**
 * Return a short code for each block of a file.
 *
 * What the file calls a code is kept where no two of its codes are alike; a code or a name of up to six letters is kept by the first block
 * that has it; all others are numbered B1, B2, ... by their place in the file, after the numbers that are taken. The shell does the same (`tests/vectors/block_codes`).
 */
export function blockCodes(said: readonly { code: string; name: string }[], taken: readonly string[] = []): string[] {
  const tidy = (text: string): string => text.trim().replace(/\s+/g, " ");
  const codes = said.map(({ code }) => tidy(code)).filter((code) => code !== "");
  const most = new Set(codes).size === codes.length ? MOST_OF_A_CODE : MOST_OF_A_NAME;
  const used = new Set<string>(taken);
  const own = said.map(({ code, name }) => {
    const [text, longest] = tidy(code) === "" ? [tidy(name), MOST_OF_A_NAME] : [tidy(code), most];
    if (text === "" || [...text].length > longest || used.has(text)) return null;
    used.add(text);
    return text;
  });
  const start = highest(taken);
  let free = Math.max(start + own.length, highest(own.filter((code) => code !== null)));
  return own.map((kept, index) => {
    if (kept !== null) return kept;
    const code = `B${start + index + 1}`;
    if (!used.has(code)) return code;
    free += 1;
    return `B${free}`;
  });
}

/** Return the highest number among B1, B2, ...; 0 where there is none. */
function highest(codes: readonly string[]): number {
  return Math.max(0, ...codes.map((code) => Number(/^B([0-9]{1,9})[a-z]*$/.exec(code)?.[1] ?? 0)));
}
