/** What the adviser sees of the counts: the blocks of the brief alone, a variety only where all its counted blocks are covered. */

import { describe, expect, it } from "vitest";
import type { CountTold, FarmCounts } from "../../src/core/contracts";
import { countedParts } from "../../src/core/counted-parts";

const told = (what: CountTold["what"], mean: number, chosen = 0): CountTold => ({
  what, trees: 8, mean, low: mean - 2, high: mean + 2, cv: 0.2, trees_needed: 10, is_enough: false, chosen,
});
const target = { fruit_per_tree: null, buds_per_tree: 110, buds_per_limb: null, limbs_per_tree: null };
const counts: FarmCounts = {
  blocks: [
    { id: "1", code: "K1", variety_id: "v", trees: 900, target, told: [told("buds_before", 212), told("limbs", 21.44, 1)] },
    { id: "2", code: "K2", variety_id: "v", trees: 100, target: null, told: [told("limbs", 18)] },
    { id: "3", code: "K3", variety_id: "w", trees: 500, target: null, told: [told("buds_on_limb", 9)] },
  ],
  varieties: [
    { id: "v", name: "Irish Peach", told: [{ what: "limbs", blocks: 2, trees: 16, mean: 21.096 }] },
    { id: "w", name: "Egremont Russet", told: [{ what: "buds_on_limb", blocks: 1, trees: 8, mean: 9 }] },
  ],
};

describe("the counts beside a brief", () => {
  it("are those of its blocks, and of a variety whose counted blocks it covers", () => {
    expect(countedParts(counts, ["1", "2", "9"]).map(({ title, limbs }) => [title, limbs])).toEqual([
      ["Irish Peach, all 2 blocks counted", 21.1],
      ["Block K1", 21.4],
      ["Block K2", 18],
    ]);
    expect(countedParts(counts, ["1", "3"]).map(({ title, limbs }) => [title, limbs])).toEqual([["Block K1", 21.4], ["Block K3", null]]);
    expect(countedParts(counts, [])).toEqual([]);
  });

  it("say mean, interval, how many more, what the target makes of it, and what was chosen by eye", () => {
    const [whole, first] = countedParts(counts, ["1", "2"]);
    expect(whole?.lines).toEqual(["21.1 limbs a tree, from 16 trees; each block weighed by its trees."]);
    expect(first?.lines).toEqual([
      "So far 212 fruit buds a tree, likely 210 to 214, from 8 trees. Count 2 more trees. The brief leaves 110 a tree: take out about half, 102 of them.",
      "So far 21.4 limbs a tree, likely 19.4 to 23.4, from 8 trees. Count 2 more trees. 1 tree was chosen by eye.",
    ]);
  });
});
