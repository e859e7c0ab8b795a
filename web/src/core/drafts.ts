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
  /** Bearings by the block's own edges; they hold while its rows are worked out anew. */
  offered: PlannedBlock["bearings"];
}

/** Numbers that only serve to have bearings suggested before the real ones are typed; their rows are never shown. */
const TO_ASK: PlantingText = { ...UNTYPED, row_spacing_m: "5", tree_spacing_m: "5", bearing_deg: "0" };

function newDraft(feature: PreviewFeature | null, surveyed: readonly PreviewFeature[], code: string): Draft {
  return {
    feature,
    surveyed,
    take: feature === null || feature.problem === null,
    code,
    // a made-up name is nobody's, and in one language: the block is called by its code
    name: feature === null ? IMPORT.surveyedRows : feature.named === false ? "" : feature.name,
    varietyId: "",
    typed: { ...UNTYPED, ...saidByFile(feature), ...(surveyed.length > 0 ? { bearing_deg: surveyedBearing(surveyed) } : {}) },
    firstRow: null,
    planned: null,
    offered: [],
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

/** Return the code that the file gives a block, under the names that our own exports use, and its name. */
function codeAndName({ properties, name }: PreviewFeature): { code: string; name: string } {
  const said = [properties["code"], properties["block"]];
  const code = said.find((one) => (typeof one === "string" && one.trim() !== "") || typeof one === "number");
  return { code: code === undefined ? "" : String(code), name };
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
  const said = outlines.map(codeAndName);
  if (rows.length > 0 && outlines.length !== 1) said.push({ code: "", name: "" });
  const codes = blockCodes(said, preview.taken_codes ?? []);
  const drafts = outlines.map((feature, place) =>
    newDraft(feature, outlines.length === 1 ? rows : [], codes[place] ?? ""),
  );
  if (rows.length > 0 && outlines.length !== 1) {
    const own = newDraft(null, rows, codes.at(-1) ?? "");
    drafts.push({ ...own, take: outlines.length === 0 });
  }
  // the same file once more would make each block twice: that is ticked, and never only not unticked
  for (const draft of drafts) draft.take &&= uponOf(draft) === "";
  return drafts;
}

/** Return where a draft lies: its outline, or its rows. */
export function draftGeometries(draft: Draft): (Geometry | null)[] {
  return [draft.feature, ...draft.surveyed].map((feature) => feature?.geometry ?? null);
}

/** Keep what the service worked out for a draft. */
export function keepPlanned(draft: Draft, planned: PlannedBlock | null): void {
  draft.planned = planned;
  if (planned !== null && planned.bearings.length > 0) draft.offered = planned.bearings;
}

/** Where the bearing comes from that a block hands on: its clicked row 1, a suggestion by its edges, what was typed, or nowhere. */
export type BearingSource = "clicked" | "suggested" | "typed" | "none";

/** Return where the bearing of a block comes from. */
export function bearingSource(draft: Draft): BearingSource {
  if (draft.firstRow !== null) return "clicked";
  const typed = draft.typed.bearing_deg.trim();
  if (typed === "") return "none";
  return draft.offered.some(({ bearing_deg }) => suggestionText(bearing_deg) === typed) ? "suggested" : "typed";
}

/**
 * Return a bearing for another block that uses this one's numbers.
 *
 * A clicked row 1 belongs to its block: another one gets the bearing along or across its own longest edge, whichever is nearer to the
 * clicked direction, turned the same way. A suggestion is the same suggestion by the other one's own edges. What was typed is used as
 * it is. A block with a clicked row 1 or surveyed rows of its own keeps its bearing.
 */
export function bearingFor(other: Draft, from: Draft): string {
  const own = other.typed.bearing_deg;
  if (other.firstRow !== null || other.surveyed.length > 0) return own;
  const typed = from.typed.bearing_deg;
  switch (bearingSource(from)) {
    case "clicked":
      return from.firstRow === null ? own : (nearestEdge(other, bearingBetween_deg(...from.firstRow)) ?? own);
    case "suggested": {
      const code = from.offered.find(({ bearing_deg }) => suggestionText(bearing_deg) === typed.trim())?.code;
      const same = other.offered.find((one) => one.code === code);
      return same === undefined ? own : suggestionText(same.bearing_deg);
    }
    default:
      return typed;
  }
}

/** Return the bearing by a block's own longest edge, along or across, that is nearest to a direction; null where nothing is offered. */
function nearestEdge({ offered }: Draft, deg: number): string | null {
  const turn = (one: number): number => Math.abs(((one - deg + 540) % 360) - 180);
  const ways = offered
    .filter(({ code }) => code === "longest_edge" || code === "across_longest_edge")
    .flatMap(({ bearing_deg }) => [bearing_deg, (bearing_deg + 180) % 360]);
  const best = ways.sort((one, two) => turn(one) - turn(two))[0];
  return best === undefined ? null : suggestionText(best);
}

/** Return a suggested bearing as it is typed, as exactly as the service says it: the shell lays its rows by the same number. */
export function suggestionText(bearing_deg: number): string {
  return String(Number(bearing_deg.toFixed(2)));
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

/** Return what keeps a draft's rows from being worked out: what is still to be typed by name, or that something typed cannot be used. */
export function openText(draft: Draft): string {
  const problems = plantingProblems(draft.typed, draft.firstRow);
  const empty = (["row_spacing_m", "tree_spacing_m", "bearing_deg"] as const).filter(
    (field) => problems[field] !== undefined && draft.typed[field].trim() === "",
  );
  return empty.length === 0 ? IMPORT.unusable : IMPORT.needs(empty.map((field) => IMPORT.needed[field]));
}

/** Tell whether a draft can be taken as it is. */
export function isReady(draft: Draft, drafts: readonly Draft[]): boolean {
  if (!isComplete(draft) || codeProblem(draft, drafts) !== "") return false;
  return draft.planned !== null && draft.planned.problem === null && draft.planned.rows > 0;
}

/** Tell whether somebody should look at the rows of a draft before they are taken. */
export function needsLook(draft: Draft): boolean {
  if (!draft.take || !isComplete(draft) || draft.planned === null || draft.planned.problem !== null) return false;
  return draft.planned.warnings.length > 0 || uponOf(draft) !== "";
}

/** Return the code of the farm's block that a draft lies upon, or nothing. */
export function uponOf({ feature, surveyed }: Draft): string {
  return [feature, ...surveyed].map((one) => one?.upon ?? "").find((code) => code !== "") ?? "";
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
