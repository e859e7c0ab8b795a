/** What the counts tell, in sentences: so far, enough, and beside the target of the brief. */

import { describe, expect, it } from "vitest";
import { countEstimate } from "../../src/core/count-estimate";
import { countedWords, meanWords, soFarWords, targetWords } from "../../src/core/tally-wording";

const scattered = (numbers: number[], trees = 500): ReturnType<typeof countEstimate> =>
  countEstimate(numbers.map((number, at) => ({ row: at, number })), trees);
const target = { fruit_per_tree: 92, buds_per_tree: 110, buds_per_limb: 6.1, limbs_per_tree: 18 };

describe("so far", () => {
  it.each([
    [[], "Nothing counted yet. Count five trees at least."],
    [[22], "So far 22 fruit buds a tree, from 1 tree. Count some more."],
    [[20, 24, 22, 18, 26], "So far 22 fruit buds a tree, likely 18.1 to 25.9, from 5 trees. Count 1 more tree."],
    [[24, 24, 24, 24, 24], "Enough: 5 trees. 24 fruit buds a tree, likely 24 to 24."],
    [[0, 0, 0, 0, 0], "So far 0 fruit buds a tree, likely 0 to 0, from 5 trees. Count some more."],
  ])("%j", (numbers, words) => expect(soFarWords("buds_before", scattered(numbers), 500)).toBe(words));

  it("is never enough in the middle of a round, which has seen a part of the block only", () => {
    const told = scattered([24, 24, 24, 24, 24]);
    expect(soFarWords("limbs", told, 500, 5)).toBe("Enough with the last 5 trees of this round. 24 limbs a tree, likely 24 to 24.");
    expect(soFarWords("limbs", told, 500, 1)).toContain("Enough with the last tree of this round.");
  });

  it("says that a whole block is counted", () => {
    expect(soFarWords("limbs", scattered([1, 2, 3, 4, 5, 6, 7], 7), 7)).toBe("Every tree is counted: 4 limbs a tree.");
  });
});

describe("a mean", () => {
  it("of one is said in the singular, by what is read and not by what was reckoned", () => {
    expect([0.4, 1, 1.04, 1.1].map((mean) => meanWords("limbs", mean))).toEqual(["0.4 limbs a tree", "1 limb a tree", "1 limb a tree", "1.1 limbs a tree"]);
    expect([meanWords("buds_before", 1), meanWords("buds_on_limb", 1)]).toEqual(["1 fruit bud a tree", "1 fruit bud a limb"]);
  });
});

describe("what one record counted", () => {
  it("is a number, or that a count was taken back", () => {
    expect([countedWords("limbs", 0), countedWords("buds_before", null)]).toEqual(["Limbs: 0", "Fruit buds before pruning: taken back"]);
  });
});

describe("beside the target", () => {
  it.each([
    ["buds_before", 212, "The brief leaves 110 a tree: take out about half, 102 of them."],
    ["buds_before", 100, "The brief leaves 110 a tree: there are no more than that."],
    ["buds_after", 130, "The brief leaves 110 a tree: about 20 too many are left."],
    ["buds_after", 90, "The brief leaves 110 a tree: about 20 too few are left."],
    ["buds_after", 110.4, "The brief leaves 110 a tree: that is what is left."],
    ["limbs", 24, "The brief leaves 18 a tree: take out about a quarter, 6 of them."],
    ["buds_on_limb", 9.2, "The brief leaves 6.1 a limb: take out about a third, 3 of them."],
  ] as const)("%s, %d", (what, mean, words) => expect(targetWords(what, mean, target)).toBe(words));

  it("says nothing where the brief says nothing of it, or nothing is counted", () => {
    expect(targetWords("limbs", 24, { ...target, limbs_per_tree: null })).toBe("");
    expect(targetWords("limbs", 24, null)).toBe("");
    expect(targetWords("limbs", null, target)).toBe("");
  });
});
