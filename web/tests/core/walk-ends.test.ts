import { describe, expect, it } from "vitest";
import type { CheckLine } from "../../src/core/contracts";
import type { LotPack } from "../../src/core/quality-contracts";
import { beginsAtFarEnd, fromEnd } from "../../src/core/walk-ends";
import { walkStanding } from "../../src/core/walk-standing";

const walk = Array.from({ length: 21 }, (_, at): [number, number] => [1 + Math.floor(at / 5), 3 * (at % 5) + 1]);
const lot: LotPack = {
  id: "l", number: 3, crew_id: null, lot_trees: 80, n: 21, accept: 0, reject: 1, brief_id: null, brief_version: null, brief: null, return_id: null,
  trees: walk.map(([row, position]) => [row, position, false]), walk,
};
const check = ([row, position]: [number, number], isSecond = false): CheckLine => [`c${row}-${position}`, row, position, "meets", "2026-01-20", null, "", true, "l", [], false, isSecond];

describe("two tablets on one lot", () => {
  it("that hear nothing of each other begin at its two ends, and judge no tree twice until they meet", () => {
    const [even, odd] = ["0192-aa4", "0192-aa5"].map((id) => fromEnd(lot, beginsAtFarEnd(lot, [], id)));
    const seen: string[] = [];
    const own: CheckLine[][] = [[], []];
    for (let step = 0; step < Math.floor(walk.length / 2); step += 1) {
      [even, odd].forEach((of, who) => {
        const next = walkStanding(of ?? lot, own[who] ?? [], new Map()).next;
        if (next === null) throw new Error("the walk ended early");
        seen.push(`${next.row}:${next.position}`);
        own[who]?.push(check([next.row, next.position]));
      });
    }
    expect(new Set(seen).size).toBe(20);
  });

  it("the one that comes later begins away from where the other is at work, whatever its id", () => {
    for (const id of ["0192-aa4", "0192-aa5"]) {
      expect(beginsAtFarEnd(lot, walk.slice(0, 3).map((tree) => check(tree)), id)).toBe(true);
      expect(beginsAtFarEnd(lot, walk.slice(-3).map((tree) => check(tree)), id)).toBe(false);
      // first looks say nothing of where a second one is made
      expect(beginsAtFarEnd(lot, [...walk.map((tree) => check(tree)), check(walk[0] ?? [0, 0], true)], id, true)).toBe(true);
    }
  });

  it("ids of the same kind share an end: about half of them each", () => {
    const far = Array.from({ length: 16 }, (_, digit) => beginsAtFarEnd(lot, [], `0192-aa${digit.toString(16)}`)).filter(Boolean);
    expect(far).toHaveLength(8);
  });
});
