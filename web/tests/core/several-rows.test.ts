import { describe, expect, it } from "vitest";
import type { Run, ShapeRow } from "../../src/core/contracts";
import { runsOfRow } from "../../src/core/coverage";
import { numbersText, severalRows, typedRange } from "../../src/core/several-rows";

describe("typed rows", () => {
  it.each([
    ["12", { from: 12, to: 12 }],
    ["12-18", { from: 12, to: 18 }],
    ["18 to 12", { from: 12, to: 18 }],
    [" 3 – 4 ", { from: 3, to: 4 }],
    ["3 9", { from: 3, to: 9 }],
  ])("%s", (text, range) => expect(typedRange(text)).toEqual(range));

  it.each(["", "-", "12-", "a", "1-2-3", "123456"])("%s means no rows yet", (text) => expect(typedRange(text)).toBeNull());
});

describe("several rows at once", () => {
  // five rows of ten positions; position 5 of row 3 is a blank
  const rows: ShapeRow[] = [1, 2, 3, 4, 5].map((n) => ({ n, p: 10, e: 0, parts: [], ...(n === 3 ? { blanks: [5] } : {}) }));
  const runs: Run[] = [
    [2, 1, 10, 1, 0], // ours, whole
    [4, 1, 6, 1, 1], // the other crew's part
    [5, 1, 10, 2, -1], // claimed by two
  ];
  it("a row that is to be gone over again is not done, and nothing of it is marked as pruned", () => {
    const again: Run[] = [[2, 1, 3, 1, 0], [2, 4, 6, 3, 0], [2, 7, 10, 1, 0]];
    const found = severalRows(rows, (row) => (row === 2 ? again : runsOfRow(runs, row)), { from: 2, to: 2 }, 0);
    expect([found.marks, found.again, found.done]).toEqual([[], [2], []]);
  });

  const asked = severalRows(rows, (row) => runsOfRow(runs, row), { from: 2, to: 7 }, 0);

  it("marks what is left and nothing that anybody claims already", () => {
    expect(asked.marks).toEqual([
      { row: 3, stretches: [{ first: 1, last: 10 }] },
      { row: 4, stretches: [{ first: 7, last: 10 }] },
    ]);
  });

  it("says how many trees, which rows are done, which are shared, which numbers no row has", () => {
    expect([asked.trees, asked.done, asked.shared, asked.missing]).toEqual([9 + 4, [2, 5], [4], 2]);
  });

  it("what is to be gone over again is left to its return", () => {
    const again = severalRows(rows, () => [[1, 2, 4, 3, 1]], { from: 1, to: 1 }, 0);
    expect(again).toMatchObject({ trees: 7, shared: [1], done: [] });
  });
});

it("numbers are said in short", () => {
  expect(numbersText([5, 3, 6, 7, 11, 12, 3])).toBe("3, 5 to 7, 11, 12");
  expect(numbersText([])).toBe("");
});
