import { describe, expect, it } from "vitest";
import type { CheckLine, TreeVerdict } from "../../src/core/contracts";
import { newCheck } from "../../src/core/records";
import type { LotPack } from "../../src/core/quality-contracts";
import type { LeftOutTrees } from "../../src/core/stand-ins";
import { lotSoFar, walkStanding, withoutOwnTrees } from "../../src/core/walk-standing";

const lot: LotPack = {
  id: "l", number: 3, crew_id: null, lot_trees: 80, n: 3, accept: 0, reject: 1, brief_id: null, brief_version: null, brief: null, return_id: null,
  trees: [[2, 7, false], [1, 4, false], [1, 9, false], [2, 1, true]],
  walk: [[1, 4], [1, 9], [2, 7], [2, 1]],
};
const NONE: LeftOutTrees = new Map();
let made = 0;
const check = (row: number, position: number, verdict: TreeVerdict, more: { day?: string; lot?: string | null; second?: boolean; id?: string } = {}): CheckLine => [
  more.id ?? `c${String((made += 1)).padStart(4, "0")}`, row, position, verdict, more.day ?? "2026-01-20", null, "", true, more.lot ?? "l", [], false, more.second ?? false,
];

describe("the standing of a walk", () => {
  it("goes on with the first tree that is neither checked nor left out", () => {
    const begun = walkStanding(lot, [check(1, 4, "meets")], NONE);
    expect([begun.next?.row, begun.next?.position, begun.done, begun.row, begun.rows]).toEqual([1, 9, 1, 1, 2]);
    const left = walkStanding(lot, [check(1, 4, "meets")], new Map([["1:9", "gone"]]));
    expect([left.next?.row, left.next?.position, left.row]).toEqual([2, 7, 2]);
    expect(left.trees[1]?.leftOut).toBe("gone");
    expect([begun.all, left.all]).toEqual([4, 3]);
  });

  it("knows nothing of other lots' checks, of free ones, and of second looks", () => {
    const others = [check(1, 4, "meets", { lot: "other" }), check(1, 9, "meets", { second: true }), [...check(2, 7, "meets")].slice(0, 8) as unknown as CheckLine];
    expect(walkStanding(lot, others, NONE).done).toBe(0);
  });

  it("of a second look goes over the trees that had a first one", () => {
    const checks = [check(1, 9, "faulty"), check(2, 1, "meets"), check(2, 1, "minor", { second: true })];
    const second = walkStanding(lot, checks, NONE, true);
    expect(second.trees.map(({ row, position }) => [row, position])).toEqual([[1, 9], [2, 1]]);
    expect([second.next?.row, second.next?.position, second.done]).toEqual([1, 9, 1]);
  });

  it("of a second look passes by the trees that the same auditor judged first on this device", () => {
    const made = (row: number, position: number, auditorId: string, more: { lotId?: string; isSecond?: boolean } = {}) => ({
      record: newCheck(
        { seasonId: "s", blockId: "b", brief: null, auditorId, day: "2026-01-20", deviceId: "d" },
        { row, position, verdict: "meets", drawn: true, note: "", lotId: "l", isSecond: false, ...more },
        { id: `${row}-${position}-${auditorId}`, at: "2026-01-20T09:00:00Z" },
      ),
    });
    const records = [made(1, 4, "ann"), made(1, 9, "bo"), made(2, 7, "ann", { isSecond: true }), made(2, 1, "ann", { lotId: "other" })];
    expect(withoutOwnTrees(lot, [], records, { id: "ann", name: null }).walk).toEqual([[1, 9], [2, 7], [2, 1]]);
    // the one who judged it last has it
    expect(withoutOwnTrees(lot, [], [...records, made(1, 4, "bo")], { id: "bo", name: null }).walk).toEqual([[2, 7], [2, 1]]);
    expect(withoutOwnTrees(lot, [], records, { id: null, name: null }).walk).toEqual(lot.walk);
  });

  it("of a second look leaves out what the same auditor judged on another tablet, by the name that the check has", () => {
    const by = (name: string, one: CheckLine): CheckLine => [...one.slice(0, 5), name, ...one.slice(6)] as unknown as CheckLine;
    const checks = [by("Ann", check(1, 4, "meets")), by("Bo", check(1, 9, "faulty")), by("Ann", check(2, 7, "meets", { lot: "other" })), by("Ann", check(2, 1, "meets", { second: true }))];
    expect(withoutOwnTrees(lot, checks, [], { id: "ann", name: "Ann" }).walk).toEqual([[1, 9], [2, 7], [2, 1]]);
    // two people of one name, or no name: nothing is known by it
    expect(withoutOwnTrees(lot, checks, [], { id: "ann", name: null }).walk).toEqual(lot.walk);
    // all of it was hers: there is nothing to look at
    const hers = lot.walk.map(([row, position]) => by("Ann", check(row, position, "meets")));
    expect(walkStanding(withoutOwnTrees(lot, hers, [], { id: "ann", name: "Ann" }), hers, NONE, true).all).toBe(0);
  });

  it("goes on behind the tree that was left last, then from the beginning: a second auditor begins in the middle", () => {
    const middle = walkStanding(lot, [check(2, 7, "meets")], NONE, false, { row: 2, position: 7 });
    expect([middle.next?.row, middle.next?.position]).toEqual([2, 1]);
    const round = walkStanding(lot, [check(2, 7, "meets"), check(2, 1, "meets")], NONE, false, { row: 2, position: 1 });
    expect([round.next?.row, round.next?.position, round.row]).toEqual([1, 4, 1]);
    // one that is none of the lot's any more: from the beginning
    expect(walkStanding(lot, [], NONE, false, { row: 9, position: 9 }).next).toMatchObject({ row: 1, position: 4 });
  });

  it("goes to the next tree of the draw where one cannot be judged, in the order of the walk, and past the others", () => {
    const more: LotPack = { ...lot, reserve: [[1, 6], [2, 3]], walk: [[1, 4], [1, 6], [1, 9], [2, 3], [2, 7], [2, 1]] };
    expect(walkStanding(more, [], NONE).trees.map(({ row, position }) => [row, position])).toEqual(lot.walk);
    const now = walkStanding(more, [check(1, 4, "meets")], new Map([["1:4", "gone"], ["1:9", "gone"]]));
    expect(now.trees.map(({ position, leftOut, standsIn }) => [position, leftOut, standsIn])).toEqual([
      [4, null, false], [6, null, true], [9, "gone", false], [7, null, false], [1, null, false],
    ]);
    expect([now.next?.position, now.done, now.all]).toEqual([6, 1, 4]);
    // one that stands in cannot be judged either
    const further = walkStanding(more, [], new Map([["1:9", "gone"], ["1:6", "unreachable"]]));
    expect(further.trees.filter(({ standsIn }) => standsIn).map(({ row, position }) => [row, position])).toEqual([[2, 3]]);
    // a second look goes to what was judged, whoever stood in for whom
    expect(walkStanding(more, [check(1, 6, "meets")], NONE, true).trees.map(({ position }) => position)).toEqual([6]);
  });

  it("ends with no tree", () => {
    const all = lot.walk.map(([row, position]) => check(row, position, "meets"));
    expect(walkStanding(lot, all, NONE)).toMatchObject({ next: null, done: 4, row: 2 });
  });
});

describe("the verdict on the device", () => {
  it("rests on drawn trees alone, the latest check of each", () => {
    const checks = [check(1, 4, "meets"), check(1, 9, "faulty"), check(2, 7, "minor"), check(2, 1, "faulty")];
    expect(lotSoFar(lot, checks, NONE)).toMatchObject({ checked: 3, faulty: 1, minor: 1, meets: 1, verdict: "send_back" });
    const again = [...checks, check(1, 9, "meets")];
    expect(lotSoFar(lot, again, NONE)).toMatchObject({ checked: 3, faulty: 0, meets: 2, verdict: "accepted" });
    const laterDay = [check(1, 9, "faulty", { day: "2026-01-21", id: "a" }), check(1, 9, "meets", { day: "2026-01-20", id: "z" })];
    expect(lotSoFar(lot, laterDay, NONE)).toMatchObject({ checked: 1, faulty: 1 });
  });

  it("is send back as soon as the reject number is reached, accepted on the whole sample only", () => {
    expect(lotSoFar(lot, [check(1, 4, "faulty")], NONE).verdict).toBe("send_back");
    expect(lotSoFar(lot, [check(1, 4, "meets"), check(1, 9, "meets")], NONE).verdict).toBe("too_few");
    // a small lot is checked whole
    expect(lotSoFar({ ...lot, n: 13, lot_trees: 3 }, lot.trees.slice(0, 3).map(([r, p]) => check(r, p, "meets")), NONE).verdict).toBe("accepted");
  });
});
