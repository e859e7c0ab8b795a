import { describe, expect, it } from "vitest";
import type { LotPack } from "../../src/core/quality-contracts";
import { freshTree, NO_WALK, withAnswer, type WalkDraft } from "../../src/core/walk-draft";
import { lotsToWalk, walkName, walksHere } from "../../src/core/walks-here";

const lot = (id: string, decided_on?: string | null): LotPack => ({ id, number: 1, ...(decided_on === undefined ? {} : { decided_on }) }) as LotPack;
const tree = (checkId: string): WalkDraft["tree"] => freshTree({ row: 1, position: 2 }, checkId);
const walk = (more: Partial<WalkDraft>, block = "b1"): WalkDraft => ({ ...NO_WALK, of: { block, number: 7 }, ...more });
const half = (checkId: string): NonNullable<WalkDraft["tree"]> => withAnswer(freshTree({ row: 3, position: 4 }, checkId), "stubs", true);

it("lots of earlier days are looked at a second time, newest first; those of today and open ones are walked", () => {
  const lots = [lot("a"), lot("b", "2026-01-10"), lot("c", null), lot("d", "2026-01-20"), lot("e", "2026-01-14")];
  const { open, earlier } = lotsToWalk(lots, "2026-01-20");
  expect([open, earlier].map((some) => some.map(({ id }) => id))).toEqual([["a", "c", "d"], ["e", "b"]]);
});

describe("walks that are kept on a device", () => {
  const kept = new Map<string, unknown>([
    [walkName("stands", false), walk({ tree: tree("c1"), begun: [half("c2")] })],
    [walkName("cancelled", false), walk({ tree: tree("c3"), last: { row: 1, position: 1 } })],
    [walkName("cancelled", true), walk({ tree: half("c4") })],
    [walkName("cancelled-before-it-began", false), walk({ tree: tree("c5") })],
    [walkName("old", false), walk({ last: { row: 1, position: 1 } })],
    [walkName("old-half", false), walk({ begun: [half("c6")] })],
    [walkName("elsewhere", false), walk({ tree: tree("c7") }, "b2")],
    [walkName("of-an-older-page", false), { tree: null, last: null, skipped: [] }],
  ]);
  const found = walksHere(kept, "b1", { lots: [lot("stands")], cancelled: [{ id: "cancelled", number: 7 }, { id: "cancelled-before-it-began", number: 8 }] });

  it("are told of where their lot was cancelled under way, or something was half answered; others of the block just go", () => {
    expect(found.gone).toEqual([
      { number: 7, isCancelled: true, isHalfAnswered: true, names: [walkName("cancelled", false), walkName("cancelled", true)] },
      { number: 7, isCancelled: false, isHalfAnswered: true, names: [walkName("old-half", false)] },
    ]);
    expect(found.past).toEqual([walkName("cancelled-before-it-began", false), walkName("old", false)]);
  });

  it("keep the photos of every check that is being made, of other blocks too", () => {
    expect([...found.toCome].sort()).toEqual(["c1", "c2", "c3", "c4", "c5", "c6", "c7"]);
  });
});
