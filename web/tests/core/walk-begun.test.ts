import { expect, it } from "vitest";
import { checksToCome, isBegun, walkOnGround, walkTo, withPhoto } from "../../src/core/walk-begun";
import type { Point } from "../../src/core/brief-contracts";
import type { CheckLine } from "../../src/core/contracts";
import { freshTree, NO_WALK, treeAgain, walkFrom, withAnswer, withoutTree, type WalkDraft } from "../../src/core/walk-draft";

const [one, two, three] = [{ row: 1, position: 4 }, { row: 1, position: 9 }, { row: 2, position: 7 }];
const at = (walk: WalkDraft, to: typeof one, id: string): WalkDraft => walkTo(walk, to, freshTree(to, id));
const answered = (walk: WalkDraft): WalkDraft => ({ ...walk, tree: walk.tree === null ? null : { ...withAnswer(walk.tree, "stubs", false), photos: ["p1"] } });

it("a tree that is half answered keeps its answers, note, photos and the id of its check while one is at others", () => {
  const begun = answered(at(NO_WALK, one, "c1"));
  const away = at(at(begun, two, "c2"), three, "c3");
  expect(away.tree).toEqual(freshTree(three, "c3"));
  expect(away.begun).toEqual([begun.tree]); // the second one was only looked at
  expect(checksToCome(away)).toEqual(["c3", "c1"]);
  const back = at(walkFrom(JSON.parse(JSON.stringify(away))), one, "c4");
  expect([back.tree, back.begun]).toEqual([begun.tree, []]);
});

it("going to the tree that is open changes nothing", () => {
  const begun = answered(at(NO_WALK, one, "c1"));
  expect(at(begun, one, "c9")).toBe(begun);
});

it("a tree that was saved is fresh when one comes to it again, and others wait on", () => {
  const both = answered(at(answered(at(NO_WALK, one, "c1")), two, "c2"));
  const saved = withoutTree(both);
  const again = at(saved, two, "c3");
  expect(again.tree).toEqual(freshTree(two, "c3"));
  expect(again.begun.map(({ checkId }) => checkId)).toEqual(["c1"]);
});

it("a note or a point that cannot be told is a beginning too", () => {
  const fresh = freshTree(one, "c1");
  expect([fresh, { ...fresh, note: "x" }, withAnswer(fresh, "stubs", "untold"), { ...fresh, photos: ["p"] }].map(isBegun)).toEqual([false, true, true, true]);
});

it("a checked tree is looked at again from what was said of it, and is no beginning before something is changed", () => {
  const line: CheckLine = ["c1", 1, 4, "faulty", "2026-01-20", null, "wet", true, "l", ["stubs"]];
  const point = (key: string, kind: Point["kind"]): Point => ({ key, kind, sentences: {}, picture: "", low: null, high: null, unit: "", point_class: "major", is_checked: true, source: "" });
  const points = [point("leader", "yes_no"), point("stubs", "yes_no"), point("limbs", "count")];
  // checked here: all of it is known; checked on another tablet: what was not met, and the note
  const here = treeAgain(one, "c2", line, [{ record: { id: "c1", findings: [["leader", true], ["stubs", false], ["limbs", 14]] } }], points);
  const elsewhere = treeAgain(one, "c2", line, [{ record: { id: "c0", findings: [] } }], points);
  expect([here.checkId, here.note, here.findings]).toEqual(["c2", "wet", [["leader", true], ["stubs", false], ["limbs", 14]]]);
  expect([elsewhere.note, elsewhere.findings]).toEqual(["wet", [["stubs", false]]]);
  expect([here, elsewhere, { ...here, isAsSaid: false }].map(isBegun)).toEqual([false, false, true]);
});

it("what is kept and no whole tree is not taken up", () => {
  expect(walkFrom({ ...NO_WALK, begun: [{ row: 1 }, freshTree(one, "c1")] }).begun).toEqual([freshTree(one, "c1")]);
});

it("what is half answered of rows that were changed since goes to no tree, and is told with its photos", () => {
  const away = walkOnGround({ ...at(answered(at(NO_WALK, one, "c1")), two, "c2"), skipped: [{ ...two, reason: "gone" }] }, "g1");
  expect([away.left, away.walk.ground, away.walk.tree?.checkId]).toEqual([[], "g1", "c2"]);
  const same = walkOnGround(walkFrom(JSON.parse(JSON.stringify(away.walk))), "g1");
  expect(same).toEqual(away);
  const other = walkOnGround(away.walk, "g2");
  expect(other.walk).toEqual({ ...away.walk, ground: "g2", tree: null, last: null, skipped: [], begun: [] });
  expect(other.left.map(({ checkId, photos }) => [checkId, photos])).toEqual([["c2", []], ["c1", ["p1"]]]);
  expect(other.left.filter(isBegun).map(({ checkId }) => checkId)).toEqual(["c1"]);
  expect(walkOnGround(away.walk, null).left).toEqual([]);
});

it("a photo whose camera was slow goes to the tree that it was taken of, and to no other", () => {
  const away = at(answered(at(NO_WALK, one, "c1")), two, "c2");
  const late = withPhoto(away, "c1", "p2");
  expect([late.begun[0]?.photos, late.tree?.photos]).toEqual([["p1", "p2"], []]);
  expect(withPhoto(away, "c2", "p2").tree?.photos).toEqual(["p2"]);
  expect(withPhoto(away, "saved", "p2")).toEqual(away);
});
