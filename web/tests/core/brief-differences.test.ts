import { describe, expect, it } from "vitest";
import type { BriefDifference } from "../../src/core/brief-contracts";
import { changedGroups } from "../../src/core/brief-differences";
import { content, LIMBS, point, said, THIN } from "./brief-kit";

const difference = (more: Partial<BriefDifference>): BriefDifference => ({ kind: "point_changed", point_key: "", part: "", language: "", old: null, new: null, ...more });
const lines = (one: BriefDifference, before = said([LIMBS, THIN]), after = before) =>
  changedGroups([one], before, after).flatMap((group) => group.lines.map(({ what, was, is }) => [what, was, is]));

describe("a change in words", () => {
  it("of a limit is told as a number in the point's own measure", () => {
    expect(lines(difference({ point_key: "limb-count", part: "low", old: 18, new: 20 }))).toEqual([["At least", "18", "20"]]);
    expect(lines(difference({ point_key: "limb-over-half", part: "high", old: 0.5, new: 0.55 }))).toEqual([["At most", "50\u00a0%", "55\u00a0%"]]);
    expect(lines(difference({ point_key: "limb-count", part: "high", old: 22, new: null }))).toEqual([["At most", "22", "nothing"]]);
  });

  it("of a word on the wire is told in the words of the screen", () => {
    expect(lines(difference({ point_key: "limb-count", part: "point_class", old: "major", new: "critical" }))[0]?.[2]).toBe("critical");
    expect(lines(difference({ point_key: "limb-count", part: "is_checked", old: true, new: false }))).toEqual([["Checked or taught", "checked", "taught, not checked"]]);
    expect(lines(difference({ kind: "brief_changed", part: "habit", old: "spur_uncut", new: "tip_renewed" }))[0]?.slice(1)).toEqual(["Spur bearer, not cut back", "Tip bearer, renewed every year"]);
  });

  it("of a sentence names its language, and the text itself", () => {
    expect(lines(difference({ point_key: "limb-count", part: "sentences", language: "es", old: "Deje.", new: "Quite." }))).toEqual([["Sentence in Spanish", "Deje.", "Quite."]]);
    expect(lines(difference({ kind: "brief_changed", part: "notes", language: "en", old: null, new: "Mind the wall." }))).toEqual([["Note in English", "nothing", "Mind the wall."]]);
  });

  it("of the bud target and the cautions tells what each comes to", () => {
    const none = content([]).bud_target;
    expect(lines(difference({ kind: "brief_changed", part: "bud_target", old: none, new: { ...none, buds_per_tree: 220 } }))[0]?.slice(1)).toEqual(["nothing", "Buds on the tree: 220"]);
    expect(lines(difference({ kind: "brief_changed", part: "cautions", old: ["eyes"], new: ["eyes", "slope"] }))[0]?.slice(1)).toEqual(["eyes", "eyes, slope"]);
  });

  it("of a point that came, went or moved says so with its sentence or its place", () => {
    const stub = point("no-stub");
    expect(lines(difference({ kind: "point_added", point_key: "no-stub", new: stub }), said([]), said([stub]))).toEqual([["new point", "nothing", "Said: no-stub"]]);
    expect(lines(difference({ kind: "point_removed", point_key: "no-stub", old: stub }), said([stub]), said([]))).toEqual([["taken out", "Said: no-stub", "nothing"]]);
    expect(lines(difference({ kind: "point_moved", point_key: "limb-count", old: 1, new: 4 }))).toEqual([["Place in the order", "1", "4"]]);
  });
});

it("changes of one point stand together under its sentence, the whole brief's under its own head", () => {
  const told = [
    difference({ kind: "brief_changed", part: "is_heavy_setter", old: false, new: true }),
    difference({ point_key: "limb-over-half", part: "source", old: "a", new: "b" }),
    difference({ point_key: "limb-over-half", part: "high", old: 0.5, new: 0.6 }),
  ];
  const groups = changedGroups(told, said([LIMBS, THIN]), said([THIN]));
  expect(groups.map(({ title, lines: some }) => [title, some.length])).toEqual([["The whole brief", 1], ["Said: limb-over-half", 2]]);
});
