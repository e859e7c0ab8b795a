import { describe, expect, it } from "vitest";
import type { PlannedBlock, Preview, PreviewFeature } from "../../src/core/import-contracts";
import { bearingFor, codeProblem, draftsOf, isComplete, isReady, orderOf } from "../../src/core/drafts";
import { blockCodes, plantingOf, plantingProblems, UNTYPED } from "../../src/core/planting";

const square = { type: "Polygon" as const, coordinates: [[[0, 0], [0.001, 0], [0.001, 0.001], [0, 0]]] };
const block = (index: number, name: string, problem: string | null = null): PreviewFeature => ({
  index,
  kind: "block",
  name,
  geometry: problem === null ? square : null,
  area_ha: 1,
  notes: [],
  problem,
  properties: {},
});
const row = (index: number): PreviewFeature => ({
  ...block(index, ""),
  kind: "row",
  geometry: { type: "LineString", coordinates: [[0, 0], [0, 0.001]] },
});
const preview = (...features: PreviewFeature[]): Preview => ({
  token: "t",
  format: "GeoJSON",
  crs: "EPSG:4326",
  layers: [],
  questions: [],
  features,
  summary: "",
});
const typed = { ...UNTYPED, row_spacing_m: "4,5", tree_spacing_m: "1.8", bearing_deg: "12" };
const planned: PlannedBlock = {
  index: 0,
  code: "B1",
  rows: 3,
  trees: 30,
  length_m: 90,
  area_ha: 1,
  trees_per_ha: 30,
  textbook_trees_per_ha: 40,
  lines: [],
  bearings: [],
  warnings: [],
  problem: null,
};

describe("draftsOf", () => {
  it("leaves out a feature with a problem until it is mended", () => {
    expect(draftsOf(preview(block(0, "a"), block(1, "b", "crosses itself"))).map(({ take }) => take)).toEqual([true, false]);
  });

  it("takes the rows beside a single outline as the rows of that block", () => {
    const [only, ...rest] = draftsOf(preview(block(0, "a"), row(1), row(2)));
    expect(rest).toEqual([]);
    expect(only && orderOf(only)).toMatchObject({ index: 0, rows: [1, 2] });
  });

  it("starts from the code and spacings that the file carries, and ignores what are no numbers", () => {
    const said = { ...block(0, "Under Beacon"), properties: { code: "B7", row_spacing_m: 4, tree_spacing_m: "2", bearing_deg: 263.9 } };
    const [only] = draftsOf(preview(said));
    expect(only?.code).toBe("B7");
    const [ours] = draftsOf(preview({ ...said, properties: { block: "M4" } }));
    expect(ours?.code).toBe("M4");
    expect(only?.typed).toMatchObject({ row_spacing_m: "4", tree_spacing_m: "", bearing_deg: "263.9" });
  });

  it("puts row 1 half a row from the edge where no offset is typed", () => {
    expect(plantingOf(typed, null).first_row_offset_m).toBe(2.25);
    expect(plantingOf({ ...typed, first_row_offset_m: "0" }, null).first_row_offset_m).toBe(0);
    expect(plantingProblems({ ...typed, first_row_offset_m: "" }, null)).toEqual({});
  });

  it("makes one block of surveyed rows alone, with the bearing of its first row", () => {
    const [only] = draftsOf(preview(row(0), row(1)));
    expect(only?.typed.bearing_deg).toBe("0.00");
    expect(only && orderOf(only)).not.toHaveProperty("index");
  });

  it("does not push rows onto one of several outlines", () => {
    const drafts = draftsOf(preview(block(0, "a"), block(1, "b"), row(2)));
    expect(drafts.map(({ take, surveyed }) => [take, surveyed.length])).toEqual([[true, 0], [true, 0], [false, 1]]);
  });
});

describe("numbers used for all blocks", () => {
  const offered = (deg: number) => [
    { code: "longest_edge", label: "along", bearing_deg: deg },
    { code: "across_longest_edge", label: "across", bearing_deg: deg + 90 },
  ];
  const [other] = draftsOf(preview(block(0, "a")));

  it("let a suggested bearing go by each block's own edges", () => {
    if (other === undefined) throw new Error("no draft");
    other.planned = { ...planned, bearings: offered(12.34) };
    expect(bearingFor(other, "129.6", offered(129.6))).toBe("12.3");
    expect(bearingFor(other, "219.6", offered(129.6))).toBe("102.3");
  });

  it("keep a bearing that somebody typed, and one where nothing is suggested", () => {
    if (other === undefined) throw new Error("no draft");
    expect(bearingFor(other, "131", offered(129.6))).toBe("131");
    other.planned = null;
    expect(bearingFor(other, "129.6", offered(129.6))).toBe("129.6");
  });
});

describe("blockCodes", () => {
  it("keeps short names, numbers long and double ones, and avoids codes the farm has", () => {
    expect(blockCodes(["K1", "a very long name", "K1", ""], ["B4"])).toEqual(["K1", "B2", "B3", "B4a"]);
  });
});

describe("planting", () => {
  it("says what is missing, by field", () => {
    expect(Object.keys(plantingProblems(UNTYPED, null)).sort()).toEqual(["bearing_deg", "row_spacing_m", "tree_spacing_m"]);
  });

  it.each([
    ["row_spacing_m", "0"],
    ["tree_spacing_m", "-2"],
    ["end_offset_m", "-0.1"],
    ["bearing_deg", "360"],
    ["headland_m", "six"],
  ] as const)("refuses %s = %s", (field, text) => {
    expect(plantingProblems({ ...typed, [field]: text }, null)).toHaveProperty(field);
  });

  it("needs no bearing when two points name row 1", () => {
    const points: [[number, number], [number, number]] = [[0, 0], [0, 0.001]];
    const text = { ...typed, bearing_deg: "" };
    expect(plantingProblems(text, points)).toEqual({});
    expect(plantingOf(text, points)).toMatchObject({ row_spacing_m: 4.5, first_row: points });
  });
});

describe("isReady", () => {
  it("needs numbers, a code of its own, and an answer of the service with rows", () => {
    const drafts = draftsOf(preview(block(0, "a"), block(1, "b")));
    const [first, second] = drafts;
    if (!first || !second) throw new Error("two drafts");
    expect(isComplete(first)).toBe(false);
    first.typed = typed;
    expect([isComplete(first), isReady(first, drafts)]).toEqual([true, false]);
    first.planned = { ...planned, problem: "no row fits" };
    expect(isReady(first, drafts)).toBe(false);
    first.planned = planned;
    expect(isReady(first, drafts)).toBe(true);
    second.code = first.code;
    expect(codeProblem(first, drafts)).not.toBe("");
    expect(isReady(first, drafts)).toBe(false);
    second.take = false;
    expect(isReady(first, drafts)).toBe(true);
  });
});
