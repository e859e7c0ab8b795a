import { describe, expect, it } from "vitest";
import type { Point } from "../../src/core/brief-contracts";
import { limitWords, numberWords } from "../../src/core/check-walk-wording";
import { answerOf, freshTree, judged, NO_WALK, walkFrom, withAnswer, withBack, withRestYes, withoutTree, withSkipped } from "../../src/core/walk-draft";

const point = (key: string, more: Partial<Point> = {}): Point => ({
  key, sentences: { en: key }, picture: "", kind: "yes_no", low: null, high: null, unit: "", point_class: "major", is_checked: true, source: "", ...more,
});
const points = [
  point("leader"),
  point("limbs", { kind: "count", low: 12, high: 22, unit: "limbs" }),
  point("stubs", { point_class: "minor" }),
  point("taught", { is_checked: false }),
];
const tree = freshTree({ row: 3, position: 12 }, "c1");

describe("a tree that is judged", () => {
  it("begins with nothing answered, and nothing can be saved", () => {
    expect(judged(tree, points)).toEqual({ failed: [], verdict: "meets", isBegun: false, open: 2, unmeasured: 1, isEnough: false });
  });

  it("is clean by one touch: yes to all, numbers left out", () => {
    const clean = withRestYes(tree, points);
    // nobody was asked about the point that is taught only
    expect(clean.findings).toEqual([["leader", true], ["stubs", true]]);
    expect(judged(clean, points)).toMatchObject({ verdict: "meets", open: 0, isEnough: true });
  });

  it("has one fault by one touch more, and a minor one makes it minor", () => {
    const clean = withRestYes(tree, points);
    expect(judged(withAnswer(clean, "leader", false), points)).toMatchObject({ failed: ["leader"], verdict: "faulty", isEnough: true });
    expect(judged(withAnswer(clean, "stubs", false), points)).toMatchObject({ failed: ["stubs"], verdict: "minor" });
  });

  it("keeps a fault that was found, and what cannot be told, when the rest is as the brief says", () => {
    const marked = withAnswer(withAnswer(withAnswer(tree, "leader", false), "limbs", 30), "stubs", "untold");
    expect(judged(marked, points)).toMatchObject({ isBegun: true, open: 0, unmeasured: 0 });
    expect(withRestYes(marked, points)).toEqual(marked);
    const rest = withRestYes(withAnswer(tree, "leader", false), points);
    expect(rest.findings).toEqual([["leader", false], ["stubs", true]]);
    expect(judged(rest, points)).toMatchObject({ failed: ["leader"], verdict: "faulty", open: 0, unmeasured: 1 });
  });

  it("fails by a number beyond its limits, limits included", () => {
    const clean = withRestYes(tree, points);
    expect(judged(withAnswer(clean, "limbs", 22), points).failed).toEqual([]);
    expect(judged(withAnswer(clean, "limbs", 23), points).failed).toEqual(["limbs"]);
  });

  it("that is faulty can be saved with the rest not judged; one that is not needs every answer", () => {
    expect(judged(withAnswer(tree, "leader", false), points)).toMatchObject({ verdict: "faulty", open: 1, isEnough: true });
    expect(judged(withAnswer(tree, "stubs", false), points)).toMatchObject({ verdict: "minor", open: 1, isEnough: false });
  });

  it("a point that cannot be told is answered, and left out of what is found", () => {
    const told = withAnswer(withAnswer(tree, "leader", "untold"), "stubs", true);
    expect(told.findings).toEqual([["stubs", true]]);
    expect(answerOf(told, "leader")).toBe("untold");
    expect(judged(told, points)).toMatchObject({ verdict: "meets", open: 0, isEnough: true });
    // nothing was found on a tree of which nothing can be told
    expect(judged(withAnswer(told, "stubs", "untold"), points).isEnough).toBe(false);
  });

  it("takes an answer back, and the last answer stands", () => {
    const twice = withAnswer(withAnswer(tree, "limbs", 14), "limbs", 15);
    expect(twice.findings).toEqual([["limbs", 15]]);
    expect(withAnswer(twice, "limbs", null)).toEqual(tree);
  });
});

describe("the walk", () => {
  const walk = { ...NO_WALK, tree };
  it("remembers where one stands, and what was left out until it is taken up again", () => {
    expect(withoutTree(walk)).toEqual({ ...NO_WALK, last: { row: 3, position: 12 } });
    const left = withSkipped(withSkipped(walk, "gone"), "other");
    expect(left.skipped).toEqual([{ row: 3, position: 12, reason: "gone" }]);
    expect(withSkipped({ ...left, tree }, "other").skipped).toEqual([{ row: 3, position: 12, reason: "other" }]);
    expect(withBack(left, tree).skipped).toEqual([]);
  });

  it("is read again as it was kept; what is none of ours is no walk", () => {
    expect(walkFrom(JSON.parse(JSON.stringify(walk)))).toEqual(walk);
    for (const none of [undefined, null, 7, "x", {}, { skipped: 3 }]) expect(walkFrom(none)).toEqual(NO_WALK);
    expect(walkFrom({ ...walk, tree: { row: 3 } }).tree).toBeNull();
  });
});

it("numbers and limits are said in the unit of the point, shares in percent", () => {
  expect(limitWords(point("a", { kind: "count", low: 12, high: 22, unit: "limbs" }))).toBe("12 to 22 limbs");
  expect(limitWords(point("a", { kind: "ratio", high: 0.5 }))).toBe("at most 50\u00a0%");
  expect(limitWords(point("a", { kind: "at_least", low: 30, unit: "cm" }))).toBe("at least 30 cm");
  expect(limitWords(point("a", { kind: "angle", low: 45, high: 60, unit: "deg" }))).toBe("45 to 60°");
  expect(limitWords(point("a"))).toBe("");
  expect(numberWords(point("a", { kind: "ratio" }), 0.35)).toBe("35\u00a0%");
});
