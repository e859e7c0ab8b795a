/** A count under way: no tree twice, nothing counted is lost when another tree is chosen, and it is read back as it was. */

import { describe, expect, it } from "vitest";
import { treeKey, type Tree } from "../../src/core/sample-trees";
import { AT_ONCE, atTree, leftInRound, nextTree, countingFrom, withMore, withoutTree, withNumber, type Draw, type Counting } from "../../src/core/counting";

const tree = (position: number): Tree => ({ row: 1, position });
const NEW: Counting = { seasonId: "s", what: "limbs", seed: 7, id: "", tree: null, isDrawn: true, isExtra: false, number: 0, ahead: [], passed: [], ground: "g1" };
/** A draw over positions 1 to 30 of which some are counted. */
const draw = (counted: number[] = [], missing: number | null = null, id = "next"): Draw => ({
  id,
  missing,
  trees: (n, but) =>
    Array.from({ length: 30 }, (_, at) => tree(at + 1)).filter((one) => !counted.includes(one.position) && !but.has(treeKey(one))).slice(0, n),
});

describe("the next tree", () => {
  it("is drawn ten at once, then as many as are missing, then none where all are counted", () => {
    const first = nextTree(NEW, draw());
    expect([first.tree, first.ahead.length, first.id, first.number]).toEqual([tree(1), AT_ONCE - 1, "next", 0]);
    expect(nextTree({ ...first, ahead: [] }, draw([1, 2], 3)).ahead).toEqual([tree(4), tree(5)]);
    expect(nextTree({ ...first, ahead: [] }, draw([1], 0)).ahead).toEqual([]);
    const all = Array.from({ length: 30 }, (_, at) => at + 1);
    expect(nextTree({ ...first, ahead: [] }, draw(all)).tree).toBeNull();
  });

  it("belongs to a round that is to be finished, unless it was drawn though enough were counted", () => {
    const first = nextTree(NEW, draw());
    expect([leftInRound(first), leftInRound(nextTree(first, draw([1])))]).toEqual([AT_ONCE, AT_ONCE - 1]);
    const last = { ...first, ahead: [] };
    expect(leftInRound(last)).toBe(1);
    expect(leftInRound(nextTree(last, draw([1], 0)))).toBe(0);
    expect(leftInRound(nextTree(last, draw([1], 4)))).toBe(4);
  });

  it("is never one that was left out", () => {
    let now = nextTree(NEW, draw());
    const seen = [];
    for (let n = 0; n < 25; n += 1) {
      seen.push(treeKey(now.tree ?? tree(0)));
      now = withoutTree(now, draw());
    }
    expect(new Set(seen).size).toBe(25);
  });
});

describe("another tree", () => {
  const now = { ...nextTree(NEW, draw()), number: 34 };

  it("keeps what was counted, is chosen and not drawn, and the drawn one stays next in line", () => {
    const other = atTree(now, tree(20), "x");
    expect([other.tree, other.number, other.isDrawn, other.ahead[0]]).toEqual([tree(20), 34, false, tree(1)]);
  });

  it("is a drawn one all the same where the draw had it in line", () => {
    const other = atTree(now, tree(5), "x");
    expect([other.isDrawn, other.ahead.map(({ position }) => position)]).toEqual([true, [1, 2, 3, 4, 6, 7, 8, 9, 10]]);
    expect(atTree(now, tree(1), "x")).toMatchObject({ isDrawn: true, ahead: now.ahead });
  });
});

describe("the number", () => {
  it("stays within what a record can say", () => {
    expect([withMore(NEW, -1).number, withMore(NEW, 5).number, withNumber(NEW, 1e6).number, withNumber(NEW, 2.4).number]).toEqual([0, 5, 9999, 2]);
  });
});

describe("what the device kept", () => {
  it("is read back as it was, and as nothing where it is of another season or broken", () => {
    const now = withMore(nextTree(NEW, draw()), 5);
    expect(countingFrom(JSON.parse(JSON.stringify(now)), "s", "g1")).toEqual(now);
    expect(countingFrom(now, "other", "g1")).toBeNull();
    for (const broken of [null, undefined, "x", {}, { ...now, what: "apples" }, { ...now, number: "5" }, { ...now, ahead: null }]) {
      expect(countingFrom(broken, "s", "g1")).toBeNull();
    }
  });

  it("names no tree of rows that were changed since, whose numbers may be other trees'", () => {
    const now = withMore(nextTree(NEW, draw()), 5);
    expect(countingFrom(now, "s", "g2")).toEqual({ ...now, ground: "g2", tree: null, number: 0, ahead: [], passed: [] });
    // a service, or a page, that told no ground
    expect(countingFrom(now, "s", null)?.tree).toEqual(now.tree);
    expect(countingFrom({ ...now, ground: undefined }, "s", "g2")).toEqual({ ...now, ground: "g2" });
  });
});
