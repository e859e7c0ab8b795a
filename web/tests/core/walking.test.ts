import { describe, expect, it } from "vitest";
import type { ShapeRow } from "../../src/core/contracts";
import { finishedBefore, usualWalk, walkedRows, walkFrom, type Walk } from "../../src/core/walking";

const rows = (...numbers: number[]): ShapeRow[] => numbers.map((n) => ({ n, p: 20, e: 0, parts: [] }));
const told = (of: readonly ShapeRow[], walk: Walk): string[] => walkedRows(of, walk).map(({ row, from }) => `${row.n} ${from}`);

describe("walking order", () => {
  it("goes up one row and comes down the next", () => {
    expect(told(rows(1, 2, 3, 4), usualWalk(rows(1, 2, 3, 4)))).toEqual(["1 first", "2 far", "3 first", "4 far"]);
  });

  it("prunes both rows of an alley in one pass, and turns after each alley", () => {
    const walk: Walk = { startRow: 1, startEnd: "far", toward: "up", rowsAtOnce: 2 };
    expect(told(rows(1, 2, 3, 4, 5), walk)).toEqual(["1 far", "2 far", "3 first", "4 first", "5 far"]);
  });

  it("begins where the crew stands, and comes back to the rows left out, nearest first", () => {
    const walk: Walk = { startRow: 4, startEnd: "first", toward: "up", rowsAtOnce: 1 };
    expect(told(rows(1, 2, 3, 4, 5), walk)).toEqual(["4 first", "5 far", "3 first", "2 far", "1 first"]);
    expect(told(rows(1, 2, 3, 4, 5), { ...walk, toward: "down" })).toEqual(["4 first", "3 far", "2 first", "1 far", "5 first"]);
  });

  it("holds every row once, whatever the walk, gaps in the numbers included", () => {
    const block = rows(2, 3, 7, 8, 9, 30);
    for (const startRow of [1, 2, 7, 8, 30, 99]) {
      for (const toward of ["up", "down"] as const) {
        for (const rowsAtOnce of [1, 2] as const) {
          const order = walkedRows(block, { startRow, startEnd: "first", toward, rowsAtOnce });
          expect(order.map(({ row }) => row.n).sort((a, b) => a - b)).toEqual([2, 3, 7, 8, 9, 30]);
          // neighbours in the order are walked from opposite ends, except the two of one alley
          const turns = order.filter(({ from }, at) => at > 0 && from !== order[at - 1]?.from).length;
          expect(turns).toBe(Math.ceil(block.length / rowsAtOnce) - 1);
        }
      }
    }
  });

  it("counts the finished rows at its beginning only", () => {
    const order = walkedRows(rows(1, 2, 3, 4), usualWalk(rows(1)));
    expect(finishedBefore(order, ({ n }) => n === 1 || n === 2 || n === 4)).toBe(2);
    expect(finishedBefore(order, () => true)).toBe(0); // nothing would be left to show
    expect(finishedBefore(order, () => false)).toBe(0);
  });
});

it("a walk that is kept is read again, and anything else is none", () => {
  const walk: Walk = { startRow: 3, startEnd: "far", toward: "down", rowsAtOnce: 2 };
  expect(walkFrom(JSON.stringify(walk), rows(1, 2, 3))).toEqual(walk);
  for (const text of [null, "", "{", "7", JSON.stringify({ ...walk, startRow: 9 }), JSON.stringify({ ...walk, toward: "left" })]) {
    expect(walkFrom(text, rows(1, 2, 3))).toBeNull();
  }
});
