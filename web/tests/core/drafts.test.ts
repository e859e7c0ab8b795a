import { describe, expect, it } from "vitest";
import type { PlannedBlock, Preview, PreviewFeature } from "../../src/core/import-contracts";
import { bearingFor, bearingSource, codeProblem, draftsOf, isComplete, isReady, keepPlanned, needsLook, openText, orderOf, type Draft } from "../../src/core/drafts";
import codes from "../../../tests/vectors/block_codes/codes.json";
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
  notes: [],
  to_outline: false,
  problem: null,
};

describe("draftsOf", () => {
  it("leaves out a feature with a problem until it is mended", () => {
    expect(draftsOf(preview(block(0, "a"), block(1, "b", "crosses itself"))).map(({ take }) => take)).toEqual([true, false]);
  });

  it("leaves out what lies upon a block of the farm until it is ticked: a file loaded twice makes no block twice", () => {
    const upon = { ...block(1, "b"), upon: "K1" };
    expect(draftsOf(preview(block(0, "a"), upon)).map(({ take }) => take)).toEqual([true, false]);
    expect(draftsOf(preview(block(0, "a"), { ...row(1), upon: "K1" })).map(({ take }) => take)).toEqual([false]);
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

  it("calls a block by its code where the file gives it no name, in whatever language", () => {
    const [only] = draftsOf(preview({ ...block(0, "Block 1"), named: false }));
    expect(only && [only.name, orderOf({ ...only, code: "K7" }).name]).toEqual(["", "K7"]);
    expect(draftsOf(preview({ ...block(0, "Block 1"), named: true }))[0]?.name).toBe("Block 1");
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
  const draft = (typedBearing: string, deg: number | null, firstRow: Draft["firstRow"] = null): Draft => {
    const [one] = draftsOf(preview(block(0, "a")));
    if (one === undefined) throw new Error("no draft");
    keepPlanned(one, { ...planned, bearings: deg === null ? [] : offered(deg) });
    return { ...one, typed: { ...typed, bearing_deg: typedBearing }, firstRow };
  };

  it("let a suggested bearing go by each block's own edges, as exactly as the service says it", () => {
    expect(bearingFor(draft("", 12.34), draft("129.6", 129.6))).toBe("12.34");
    expect(bearingFor(draft("", 12.34), draft("219.6", 129.6))).toBe("102.34");
  });

  it("keep a bearing that somebody typed; a suggestion reaches no block that has none", () => {
    expect(bearingFor(draft("", 12.34), draft("131", 129.6))).toBe("131");
    expect(bearingFor(draft("7", null), draft("129.6", 129.6))).toBe("7");
  });

  it("leave a clicked row 1 to its own block: others run by their own edges, turned the same way", () => {
    const [west, northWest] = [[[0, 0], [-0.001, 0.0001]], [[0, 0], [-0.001, 0.001]]] as [[number, number], [number, number]][];
    if (!west || !northWest) throw new Error("two rows");
    const clicked = draft("39.6", 39.6, northWest); // 315 degrees; the typed 39.6 is of the block's edge
    expect(bearingSource(clicked)).toBe("clicked");
    expect(bearingFor(draft("", 130), clicked)).toBe("310");
    expect(bearingFor(draft("", 41), clicked)).toBe("311");
    expect(bearingFor(draft("", 130), draft("", null, [northWest[1], northWest[0]]))).toBe("130");
    expect(bearingFor(draft("12", 12, west), clicked)).toBe("12");
    expect(bearingFor(draft("", null), clicked)).toBe("");
  });

  it("send the bearing of a clicked row 1, whatever was typed before", () => {
    expect(orderOf(draft("39.6", 39.6, [[0, 0], [-0.001, 0.001]])).planting.bearing_deg).toBeCloseTo(315, 4);
  });

  it("say what is still to be typed, and no more", () => {
    const open = (more: Partial<Draft["typed"]>): string => openText({ ...draft("", 12), typed: { ...UNTYPED, ...more } });
    expect(open({})).toBe("Still needs: row spacing, tree to tree, a bearing.");
    expect(open({ row_spacing_m: "4", tree_spacing_m: "1.5" })).toBe("Still needs: a bearing.");
    expect(open({ row_spacing_m: "4", tree_spacing_m: "-1", bearing_deg: "3" })).toBe("A number that is typed cannot be used: look at the fields.");
  });
});

describe("blockCodes", () => {
  // the same file that `tests/unit/test_block_codes.py` reads
  it.each(codes.cases)("$what", ({ said, taken, codes: expected }) => {
    expect(blockCodes(said.map(([code = "", name = ""]) => ({ code, name })), taken)).toEqual(expected);
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

describe("needsLook", () => {
  it("is said of a taken block whose plan warns, or that lies upon another, and of no other", () => {
    const [one] = draftsOf(preview(block(0, "a")));
    if (!one) throw new Error("no draft");
    const ready = { ...one, typed, planned };
    expect(needsLook(ready)).toBe(false);
    const warned = { ...ready, planned: { ...planned, warnings: ["look"] } };
    expect(needsLook(warned)).toBe(true);
    expect(needsLook({ ...warned, take: false })).toBe(false);
    expect(needsLook({ ...ready, planned: { ...planned, notes: ["surveyed"], to_outline: true } })).toBe(false);
    expect(needsLook({ ...ready, feature: { ...block(0, "a"), upon: "K1" } })).toBe(true);
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
