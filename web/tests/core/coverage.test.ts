import { describe, expect, it } from "vitest";
import type { Run, ShapeRow } from "../../src/core/contracts";
import { nextFrom, passed, rowPieces, rowTally, runsOfRow, stillClaimed, stretchesLeft, treesIn } from "../../src/core/coverage";

const plain: ShapeRow = { n: 4, p: 10, e: 1, parts: [[10, [0, 0, 1, 1]]] };
const gappy: ShapeRow = { ...plain, blanks: [3], pollinizers: [8] };
const whole = { first: 1, last: 10 };

describe("rowPieces", () => {
  it("holds every position exactly once, in order, whatever the runs", () => {
    const cases: Run[][] = [[], [[4, 1, 10, 1, 0]], [[4, 2, 5, 1, 0], [4, 5, 7, 2, -1]], [[4, 9, 14, 3, 1]]];
    for (const runs of cases) {
      const positions = rowPieces(gappy, runs).flatMap(({ first, last }) =>
        Array.from({ length: last - first + 1 }, (_, at) => first + at),
      );
      expect(positions).toEqual([1, 2, 3, 4, 5, 6, 7, 8, 9, 10]);
    }
  });

  it("changes at the tree where the crew stopped", () => {
    expect(rowPieces(plain, [[4, 1, 6, 1, 0]])).toEqual([
      { kind: "pruned", first: 1, last: 6 },
      { kind: "left", first: 7, last: 10 },
    ]);
  });

  it("shows blanks and pollinizers inside what is pruned", () => {
    expect(rowPieces(gappy, [[4, 1, 10, 1, 0]]).map(({ kind }) => kind)).toEqual([
      "pruned",
      "blank",
      "pruned",
      "pollinizer",
      "pruned",
    ]);
  });
});

describe("rowTally", () => {
  it("counts trees without blanks and pollinizers", () => {
    expect(rowTally(gappy, [[4, 1, 10, 1, 0]])).toEqual({ trees: 8, pruned: 8, overlap: 0, again: 0 });
  });

  it("counts an overlap as pruned, and once", () => {
    expect(rowTally(plain, [[4, 1, 4, 1, 0], [4, 5, 6, 2, -1]])).toEqual({ trees: 10, pruned: 6, overlap: 2, again: 0 });
  });

  it("counts what is to be gone over again as pruned, as the service does: its crew pruned it once", () => {
    expect(rowTally(plain, [[4, 1, 4, 3, 0]])).toEqual({ trees: 10, pruned: 4, overlap: 0, again: 4 });
  });
});

describe("stretchesLeft", () => {
  it("claims nothing of what another crew has pruned", () => {
    expect(stretchesLeft(plain, [[4, 4, 6, 1, 1]], whole)).toEqual([
      { first: 1, last: 3 },
      { first: 7, last: 10 },
    ]);
  });

  it("stays inside what is asked for", () => {
    expect(stretchesLeft(plain, [[4, 1, 2, 1, 0]], { first: 1, last: 5 })).toEqual([{ first: 3, last: 5 }]);
  });

  it("asks for nothing that is to be gone over again: a mark of its own answers the return", () => {
    expect(stretchesLeft(plain, [[4, 1, 10, 3, 0]], whole)).toEqual([]);
  });

  it("leaves out a stretch in which no tree stands", () => {
    const row: ShapeRow = { ...plain, blanks: [3] };
    expect(stretchesLeft(row, [[4, 1, 2, 1, 0], [4, 4, 10, 1, 0]], whole)).toEqual([]);
  });

  it("is empty when the row is done, and taking its answer does the row", () => {
    const start: Run[] = [[4, 3, 4, 1, 0]];
    const added: Run[] = stretchesLeft(plain, start, whole).map(({ first, last }) => [4, first, last, 1, 1]);
    expect(stretchesLeft(plain, [...start, ...added], whole)).toEqual([]);
    expect(rowTally(plain, [...start, ...added]).pruned).toBe(10);
  });
});

it("treesIn counts both ends and no blank", () => {
  expect(treesIn(gappy, { first: 2, last: 4 })).toBe(2);
});

it("runsOfRow keeps rows apart", () => {
  expect(runsOfRow([[4, 1, 2, 1, 0], [5, 1, 9, 1, 0]], 4)).toEqual([[4, 1, 2, 1, 0]]);
});

describe("stillClaimed", () => {
  it("is what other marks claim of positions whose mark was taken back", () => {
    expect(stillClaimed([], [whole])).toEqual([]);
    expect(stillClaimed([[4, 1, 10, 1, 0]], [{ first: 3, last: 5 }])).toEqual([{ first: 3, last: 5 }]);
    const runs: Run[] = [[4, 1, 3, 1, 0], [4, 4, 5, 2, -1], [4, 8, 12, 1, 1]];
    expect(stillClaimed(runs, [{ first: 2, last: 9 }])).toEqual([{ first: 2, last: 5 }, { first: 8, last: 9 }]);
    expect(stillClaimed(runs, [{ first: 6, last: 7 }])).toEqual([]);
  });
});

describe("a crew that comes from either end", () => {
  it("goes on where pruning stopped on its side", () => {
    const runs: Run[] = [[4, 1, 3, 1, 0], [4, 8, 10, 1, 0]];
    expect([nextFrom(plain, runs, "first"), nextFrom(plain, runs, "far")]).toEqual([4, 7]);
    expect([nextFrom(plain, [], "first"), nextFrom(plain, [], "far")]).toEqual([1, 10]);
    const done: Run[] = [[4, 1, 10, 1, 0]];
    expect([nextFrom(plain, done, "first"), nextFrom(plain, done, "far")]).toEqual([11, 0]);
  });

  it("goes on in what is to be gone over again once nothing is left to prune", () => {
    const again: Run[] = [[4, 1, 2, 1, 0], [4, 3, 6, 3, 0], [4, 7, 10, 1, 0]];
    expect([nextFrom(plain, again, "first"), nextFrom(plain, again, "far")]).toEqual([3, 6]);
    // half of the row is left: that is pruned first
    const both: Run[] = [[4, 1, 2, 3, 0], [4, 3, 5, 1, 0]];
    expect([nextFrom(plain, both, "first"), nextFrom(plain, both, "far")]).toEqual([6, 10]);
  });

  it("has passed everything between its end and where it stopped", () => {
    expect([passed(plain, 6, "first"), passed(plain, 6, "far")]).toEqual([{ first: 1, last: 6 }, { first: 6, last: 10 }]);
  });
});
