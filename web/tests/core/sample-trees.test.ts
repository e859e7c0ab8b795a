/** The draw of sample trees: trees of the variety, none twice, each as likely as any other, spread over the rows. */

import { describe, expect, it } from "vitest";
import type { ShapeRow } from "../../src/core/contracts";
import { drawnTrees, SEEDS, treeKey, treesWalked, type Tree } from "../../src/core/sample-trees";
import { usualWalk } from "../../src/core/walking";
import { randomOf } from "./seeded";

const row = (n: number, p: number, more: Partial<ShapeRow> = {}): ShapeRow => ({ n, p, e: 0, parts: [], ...more });
const block = (rows: number, positions: number): ShapeRow[] => Array.from({ length: rows }, (_, at) => row(at + 1, positions));
const walked = (rows: readonly ShapeRow[]): Tree[] => treesWalked(rows, usualWalk(rows));
const none = (): boolean => false;
/** Seeds spread evenly over all that there are, `n` of them. */
const seeds = (n: number): number[] => Array.from({ length: n }, (_, at) => Math.floor(((at + 0.5) * SEEDS) / n));
const anySeed = (random: () => number): number => Math.floor(random() * SEEDS);

describe("the trees of a block", () => {
  it("come up one row and down the next, without blanks and pollinizers", () => {
    const rows = [row(1, 4, { blanks: [2] }), row(2, 3, { pollinizers: [3] })];
    expect(walked(rows).map(treeKey)).toEqual(["1:1", "1:3", "1:4", "2:2", "2:1"]);
  });
});

describe("the draw", () => {
  it("takes no tree twice, none that is taken, none that is no tree, in walking order, and in the end every one", () => {
    const random = randomOf(7);
    for (let run = 0; run < 200; run += 1) {
      const rows = Array.from({ length: 1 + Math.floor(random() * 9) }, (_, at) => row(at + 1, Math.floor(random() * 30), { blanks: [1, 5] }));
      const trees = walked(rows);
      const n = Math.floor(random() * (trees.length + 3));
      const taken = new Set(trees.filter(() => random() < 0.3).map(treeKey));
      const drawn = drawnTrees(trees, anySeed(random), n, (tree) => taken.has(treeKey(tree)));
      expect(drawn.length).toBe(Math.min(n, trees.length - taken.size));
      const places = drawn.map((tree) => trees.indexOf(tree));
      expect(places).toEqual([...new Set(places)].sort((a, b) => a - b));
      expect(drawn.some((tree) => taken.has(treeKey(tree)))).toBe(false);
    }
  });

  it("is the same for the same seed, and goes on from what was drawn before", () => {
    const trees = walked(block(20, 50));
    const first = drawnTrees(trees, 42, 10, none);
    expect(drawnTrees(trees, 42, 10, none)).toEqual(first);
    const keys = new Set(first.map(treeKey));
    const more = drawnTrees(trees, 42, 6, (tree) => keys.has(treeKey(tree)));
    expect(new Set([...first, ...more].map(treeKey))).toEqual(new Set(drawnTrees(trees, 42, 16, none).map(treeKey)));
  });

  it.each([1, 5, 10, 26])("of %i trees draws each tree equally often over all seeds", (n) => {
    const trees = walked(block(12, 20));
    const times = new Map<string, number>();
    const runs = trees.length * 50;
    for (const seed of seeds(runs)) {
      for (const tree of drawnTrees(trees, seed, n, none)) times.set(treeKey(tree), (times.get(treeKey(tree)) ?? 0) + 1);
    }
    // 50 n times each, but for the edges of the grid of seeds
    for (const tree of trees) expect(Math.abs((times.get(treeKey(tree)) ?? 0) - 50 * n)).toBeLessThanOrEqual(n + 1);
  });

  it("lies spread: ten trees of 25 rows stand in ten rows, and not all near one end", () => {
    const trees = walked(block(25, 100));
    const random = randomOf(3);
    for (let run = 0; run < 100; run += 1) {
      const drawn = drawnTrees(trees, anySeed(random), 10, none);
      expect(new Set(drawn.map((tree) => tree.row)).size).toBe(10);
      const places = drawn.map((tree) => trees.indexOf(tree));
      const gaps = places.slice(1).map((place, at) => place - (places[at] ?? 0));
      expect(Math.max(...gaps)).toBeLessThan(2500 / 4);
      const positions = drawn.map(({ position }) => position);
      expect(Math.max(...positions) - Math.min(...positions)).toBeGreaterThan(30);
    }
  });
});
