/** The blocks of a file while they are being set up: what is taken, what is typed, what the service worked out. */

import type { BlockOrder, Geometry, PlannedBlock, Preview, PreviewFeature } from "./import-contracts";
import type { Lonlat } from "./contracts";
import { bearingBetween_deg, vertices } from "./plan-frame";
import { blockCodes, plantingOf, plantingProblems, UNTYPED, type FirstRow, type PlantingText } from "./planting";
import { IMPORT } from "./set-up-wording";

export interface Draft {
  /** The outline; null where only rows were surveyed. */
  feature: PreviewFeature | null;
  /** Surveyed rows: they replace the rows that the spacings would give. */
  surveyed: readonly PreviewFeature[];
  take: boolean;
  code: string;
  name: string;
  varietyId: string;
  typed: PlantingText;
  firstRow: FirstRow | null;
  planned: PlannedBlock | null;
}

/** Numbers that only serve to have bearings suggested before the real ones are typed; their rows are never shown. */
const TO_ASK: PlantingText = { ...UNTYPED, row_spacing_m: "5", tree_spacing_m: "5", bearing_deg: "0" };

function newDraft(feature: PreviewFeature | null, surveyed: readonly PreviewFeature[], code: string): Draft {
  return {
    feature,
    surveyed,
    take: feature === null || feature.problem === null,
    code,
    name: feature?.name ?? IMPORT.surveyedRows,
    varietyId: "",
    typed: { ...UNTYPED, ...saidByFile(feature), ...(surveyed.length > 0 ? { bearing_deg: surveyedBearing(surveyed) } : {}) },
    firstRow: null,
    planned: null,
  };
}

/** Return the numbers that the file itself carries, under the names that our own exports use. */
function saidByFile(feature: PreviewFeature | null): Partial<PlantingText> {
  const said: Partial<PlantingText> = {};
  for (const field of ["row_spacing_m", "tree_spacing_m", "bearing_deg"] as const) {
    const value = feature?.properties[field];
    if (typeof value === "number" && Number.isFinite(value) && value >= 0) said[field] = String(value);
  }
  return said;
}

/** Return the code that the file gives a block, under the names that our own exports use, or its name. */
function codeOrName(feature: PreviewFeature): string {
  const said = [feature.properties["code"], feature.properties["block"]];
  return said.find((code): code is string => typeof code === "string" && code.trim() !== "") ?? feature.name;
}

/** Return the bearing of the first surveyed row, as typed text. */
function surveyedBearing(surveyed: readonly PreviewFeature[]): string {
  const line = vertices(surveyed[0]?.geometry ?? null);
  const [from, to] = [line[0], line.at(-1)];
  return from === undefined || to === undefined ? "" : bearingBetween_deg(from as Lonlat, to as Lonlat).toFixed(2);
}

/**
 * Return one draft for each outline, and one for surveyed rows.
 *
 * Rows beside a single outline are the rows of that block. What has a problem starts left out.
 */
export function draftsOf(preview: Preview): Draft[] {
  const outlines = preview.features.filter((feature) => feature.kind === "block");
  const rows = preview.features.filter((feature) => feature.kind === "row" && feature.problem === null);
  const names = outlines.map(codeOrName);
  if (rows.length > 0 && outlines.length !== 1) names.push("");
  const codes = blockCodes(names, preview.taken_codes ?? []);
  const drafts = outlines.map((feature, place) =>
    newDraft(feature, outlines.length === 1 ? rows : [], codes[place] ?? ""),
  );
  if (rows.length > 0 && outlines.length !== 1) {
    const own = newDraft(null, rows, codes.at(-1) ?? "");
    drafts.push({ ...own, take: outlines.length === 0 });
  }
  return drafts;
}

/** Return where a draft lies: its outline, or its rows. */
export function draftGeometries(draft: Draft): (Geometry | null)[] {
  return [draft.feature, ...draft.surveyed].map((feature) => feature?.geometry ?? null);
}

/** Return a bearing for another block: where this one's was a suggestion, the same suggestion by the other one's own edges. */
export function bearingFor(other: Draft, typed: string, offered: PlannedBlock["bearings"]): string {
  const taken = offered.find(({ bearing_deg }) => suggestionText(bearing_deg) === typed.trim());
  const own = other.planned?.bearings.find(({ code }) => code === taken?.code);
  return own === undefined ? typed : suggestionText(own.bearing_deg);
}

/** Return a suggested bearing as it is typed. */
export function suggestionText(bearing_deg: number): string {
  return bearing_deg.toFixed(1);
}

/** Return what is wrong with the code of a draft, or nothing. */
export function codeProblem(draft: Draft, drafts: readonly Draft[]): string {
  const code = draft.code.trim();
  if (code === "") return IMPORT.mustHaveCode;
  const same = drafts.filter((other) => other.take && other.code.trim() === code);
  return same.length > 1 ? IMPORT.sameCode : "";
}

/** Tell whether all numbers of a draft are there, so that its rows can be worked out. */
export function isComplete(draft: Draft): boolean {
  return Object.keys(plantingProblems(draft.typed, draft.firstRow)).length === 0;
}

/** Tell whether a draft can be taken as it is. */
export function isReady(draft: Draft, drafts: readonly Draft[]): boolean {
  if (!isComplete(draft) || codeProblem(draft, drafts) !== "") return false;
  return draft.planned !== null && draft.planned.problem === null && draft.planned.rows > 0;
}

/** Return what is sent to plan or take a block. */
export function orderOf(draft: Draft): BlockOrder {
  return {
    ...(draft.feature === null ? {} : { index: draft.feature.index }),
    ...(draft.surveyed.length === 0 ? {} : { rows: draft.surveyed.map((feature) => feature.index) }),
    code: draft.code.trim(),
    name: draft.name.trim() === "" ? draft.code.trim() : draft.name.trim(),
    ...(draft.varietyId === "" ? {} : { variety_id: draft.varietyId }),
    planting: plantingOf(draft.typed, draft.firstRow, TO_ASK),
  };
}
