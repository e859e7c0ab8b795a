/// <reference types="vite/client" />
import { describe, expect, it } from "vitest";
import type { CheckLine, NotJudged, ShapeRow, TreeVerdict, UnjudgedLine } from "../../src/core/contracts";
import type { LotPack } from "../../src/core/quality-contracts";
import { treeKey } from "../../src/core/sample-trees";
import { askedTrees, leftOutOf } from "../../src/core/stand-ins";
import { lotSoFar } from "../../src/core/walk-standing";

interface Case {
  name: string;
  lot: Pick<LotPack, "n" | "accept" | "reject" | "lot_trees" | "trees"> & { reserve: [row: number, position: number][] };
  checks: [row: number, position: number, verdict: TreeVerdict][];
  not_judged: [row: number, position: number, reason: NotJudged][];
  no_tree: [row: number, position: number][];
  expect: unknown;
}

// the same files that `tests/unit/test_stand_in_vectors.py` reads
const files = import.meta.glob<Case[]>("../../../tests/vectors/lots/*.json", { eager: true, import: "default" });
const cases = Object.values(files).flat().map((one): [string, Case] => [one.name, one]);

describe("trees that stand in for others", () => {
  it.each(cases)("are those that the library calls in: %s", (_, { lot: said, checks, not_judged, no_tree, expect: expected }) => {
    const lot: LotPack = { ...said, id: "l", number: 1, crew_id: null, brief_id: null, brief_version: null, brief: null, return_id: null, walk: [] };
    const lines = checks.map(([row, position, verdict], at): CheckLine => [String(at), row, position, verdict, "2026-01-20", null, "", true, "l"]);
    const words = not_judged.map(([row, position, reason], at): UnjudgedLine => [`w${at}`, row, position, reason, "2026-01-20", "l"]);
    const rows = [1, 2, 3].map((n): ShapeRow => ({ n, p: 30, e: 1, parts: [], blanks: no_tree.flatMap(([row, at]) => (row === n ? [at] : [])) }));
    const leftOut = leftOutOf(lot, [...words, ["other", 1, 1, "gone", "2026-01-20", "another"]], rows);
    const asked = askedTrees(lot, new Set(checks.map(([row, position]) => treeKey({ row, position }))), leftOut);
    const far = lotSoFar(lot, lines, leftOut);
    const places = (trees: { row: number; position: number }[]): number[][] => trees.map(({ row, position }) => [row, position]);
    expect({
      trees: places(asked.trees), called: places(asked.called),
      left_out: asked.leftOut.map(({ row, position, reason }) => [row, position, reason]),
      needed: far.needed, is_short: far.isShort, checked: far.checked, faulty: far.faulty, verdict: far.verdict,
    }).toEqual(expected);
  });

  it("stand in for one beyond the end of a row that was counted anew too", () => {
    const lot = { id: "l", trees: [[1, 30, false], [1, 31, false]] as LotPack["trees"], reserve: [[2, 40]] as [number, number][] };
    expect([...leftOutOf(lot, [], [{ n: 1, p: 30, e: 1, parts: [] }])]).toEqual([["1:31", "blank"]]);
  });

  it("are none in a lot of an older service", () => {
    const { trees, isShort } = askedTrees({ n: 2, reject: 1, lot_trees: 9, trees: [[1, 1, false], [1, 2, false]] }, new Set(), new Map([["1:2", "gone"]]));
    expect([trees, isShort]).toEqual([[{ row: 1, position: 1 }], true]);
  });
});
