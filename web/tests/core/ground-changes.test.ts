import { describe, expect, it } from "vitest";
import { changeLines, numberList } from "../../src/core/ground-changes";
import type { GroundDifference, RowChange } from "../../src/core/ground-contracts";

const change = (was: number | null, now: number | null, more: Partial<RowChange> = {}): RowChange => ({
  was: was === null ? null : ["b", was],
  now: now === null ? null : ["b", now],
  trees_before: was === null ? null : 41,
  trees: now === null ? null : 41,
  moved_m: 0,
  turned: false,
  blanks: 0,
  pollinizers: 0,
  ...more,
});
const difference = (rows: RowChange[], more: Partial<GroundDifference> = {}): GroundDifference => ({
  blocks: [],
  rows,
  problems: [],
  leaving: [],
  can_be_taken: true,
  touches_work: false,
  ...more,
});
const lines = (found: GroundDifference): string[] => changeLines(found, (id) => id.toUpperCase()).map(({ text }) => text);

describe("the change list", () => {
  it("names runs of rows as people say them", () => {
    expect(numberList([9, 3, 5, 6, 7, 8, 12, 13])).toBe("3, 5 to 9, 12, 13");
  });

  it("puts rows of one fate into one line, and tells what becomes of the others one by one", () => {
    const rows = [
      change(7, 7, { trees: 39, blanks: 2 }),
      change(12, null),
      change(13, null),
      change(20, 21),
      change(21, 22),
      change(30, 31, { moved_m: 2.5 }),
      change(null, 40),
      change(5, 5, { turned: true }),
      change(8, 8, { trees: 39, blanks: 2 }),
    ];
    expect(lines(difference(rows))).toEqual([
      "B, rows 7, 8: each 41 to 39 trees, 2 blanks more.",
      "B, rows 12, 13: taken away (82 trees).",
      "B, rows 20, 21: numbered 21, 22.",
      "B, row 30: becomes row 31, moved by up to 2.5 m.",
      "B, row 40: new (41 trees).",
      "B, row 5: begins at its other end.",
    ]);
  });

  it("says first what hinders it, with what is recorded and why it cannot be", () => {
    const problem = { block_id: "b", row: 12, marks: 3, others: 0, position: 0, metres: 0, other: "" };
    const found = difference([change(12, null)], {
      problems: [
        { ...problem, row: 7, code: "places_lost", position: 2, hinders: false },
        { ...problem, code: "leaves", hinders: true },
      ],
      leaving: [{ id: "c", named: ["closure"] }],
    });
    expect(lines(found).slice(0, 3)).toEqual([
      "Block C cannot leave: it has a closure.",
      "B, row 12: 3 marks. What was worked in cannot leave: not possible.",
      "B, row 7: 2 blanks or pollinizers lie beyond its new end and are forgotten.",
    ]);
    expect(changeLines(found, (id) => id).map(({ hinders }) => hinders)).toEqual([true, true, false, false]);
  });

  it("tells of rows that go to another block together", () => {
    const going = (row: number): RowChange => ({ ...change(row, row), now: ["c", row] });
    expect(lines(difference([going(3), going(4), going(5)]))).toEqual(["B, rows 3 to 5: go to block C as rows 3 to 5."]);
  });

  it("tells of another code, name and variety", () => {
    const size = { code: "B", name: "B", variety_id: null, rows: 2, trees: 82, area_ha: 0.1 };
    const block = { id: "b", code: "C", before: size, after: { ...size, code: "C", name: "Kiln Piece", variety_id: "v" }, ground: null };
    expect(lines(difference([], { blocks: [block] }))).toEqual([
      "Block C: 2 rows, 82 trees, as before.",
      "Block B is called C Kiln Piece from now on.",
      "Block C has another variety, so perhaps another brief; where a rate goes by variety, what was pruned is paid by the other one too.",
    ]);
  });

  it("tells of a block that comes whole in one line, without its rows", () => {
    const block = { id: "b", code: "B", before: null, after: { code: "B", name: "B", variety_id: null, rows: 2, trees: 82, area_ha: 0.1 }, ground: null };
    expect(lines(difference([change(null, 1), change(null, 2)], { blocks: [block] }))).toEqual(["Block B is new: 2 rows, 82 trees."]);
  });
});

it("what is to be known of rows that fare alike is one line, and what is known of a block names no row", () => {
  const plain = { block_id: "b", row: 0, marks: 0, others: 0, position: 0, metres: 0, other: "", hinders: false };
  const problems = [
    ...[3, 4, 5].map((row) => ({ ...plain, code: "first_end" as const, row, marks: 2, others: 1, metres: 4.1 })),
    { ...plain, code: "first_end" as const, row: 6, others: 1, metres: -2 },
    { ...plain, code: "no_tree" as const, row: 7, others: 2 },
    { ...plain, code: "shifted" as const, metres: -1.5 },
    { ...plain, code: "skewed" as const, metres: 4 },
    { ...plain, code: "outside" as const, others: 1 },
    { ...plain, code: "overlaps" as const, other: "c", position: 12 },
  ];
  expect(lines(difference([], { problems }))).toEqual([
    "B, rows 3 to 5: 6 marks. 3 checks or other records. The first tree would stand 4.1 m farther out: trees keep their numbers and are counted from there.",
    "B, row 6: 1 check or other record. The first tree would stand 2 m farther in: trees keep their numbers and are counted from there.",
    "B, row 7: 2 checks or counted trees are where no tree would be. Checks still count for their lot and crew; counted trees leave the mean.",
    "Block B: all rows would lie about 1.5 m to one side of where they were. If the file is off by a row, each would be its neighbour: look at one row in the field first.",
    "Block B: the rows would run 4° otherwise. Each is taken for the row that it meets in its middle: look at the ends of one row first.",
    "Block B: 1 row would lie outside its outline.",
    "Block B: 12\u00a0% of its ground is block C too. Trees there would be counted twice.",
  ]);
});
