import { expect, it } from "vitest";
import type { BlockLog, BlockState } from "../../src/core/contracts";
import { stateWithOwn, withChecksOf } from "../../src/core/own-records";
import type { Entry } from "../../src/core/outbox";

const state = { id: "b", day: "2026-01-12", cursor: 5, crews: [{ id: "c1", name: "Hollow" }], runs: [], checks: [], closed: null } as BlockState;
const log: BlockLog = {
  id: "b",
  season_id: "s",
  cursor: 5,
  epoch: "e",
  crews: [
    { id: "c1", name: "Hollow" },
    { id: "c2", name: "Thorn" },
  ],
  marks: [["m0", 2, 1, 10, 1, "2026-01-12"]],
  settlements: [],
};
const rows = [
  { n: 1, p: 10, e: 0, parts: [] },
  { n: 2, p: 10, e: 0, parts: [] },
];
const own = (kind: Entry["kind"], record: object): Entry => ({ kind, record, subject: { block: "b", row: 1 } }) as Entry;
const mark = (id: string, row: number) =>
  own("marks", { id, block_id: "b", row, first: 1, last: 4, crew_id: "c1", season_id: "s", day: "2026-01-12", method: "ladder" });

it("own marks stand in the state at once, and an overlap with another crew is seen before the service says so", () => {
  const seen = stateWithOwn({ state, log, rows }, [mark("m1", 1), mark("m2", 2)], "c1");
  expect(seen.runs).toEqual([
    [1, 1, 4, 1, 0],
    [2, 1, 4, 2, -1],
    [2, 5, 10, 1, 1],
  ]);
  expect(seen.crews).toEqual(log.crews);
});

it("a withdrawal of a mark that still waits takes it back; one of another crew's mark does not", () => {
  const mine = own("withdrawals", { id: "w1", mark_id: "m1" });
  const foreign = own("withdrawals", { id: "w2", mark_id: "m0" });
  expect(stateWithOwn({ state, log, rows }, [mark("m1", 1), mine, foreign], "c1").runs).toEqual([[2, 1, 10, 1, 1]]);
  expect(stateWithOwn({ state, log, rows }, [foreign], null).runs).toEqual([]);
});

it("a mark of another crew waits to be set aside, and is not drawn; a manager's is", () => {
  expect(stateWithOwn({ state, log: { ...log, marks: [] }, rows }, [mark("m1", 1)], "c2").runs).toEqual([]);
  expect(stateWithOwn({ state, log: { ...log, marks: [] }, rows }, [mark("m1", 1)], null).runs).toEqual([[1, 1, 4, 1, 0]]);
});

it("what the log holds as standing was let count by the manager, whoever else may not speak for it", () => {
  const inLog = { ...log, marks: [["m1", 1, 1, 4, 0, "2026-01-12"]] as BlockLog["marks"] };
  expect(stateWithOwn({ state, log: inLog, rows }, [mark("m1", 1)], "c2").runs).toEqual([[1, 1, 4, 1, 0]]);
  // another content under that id is a contradiction, and neither counts
  expect(stateWithOwn({ state, log: inLog, rows }, [mark("m1", 2)], "c2").runs).toEqual([]);
});

it("without a log own marks are drawn all the same", () => {
  expect(stateWithOwn({ state, log: null, rows }, [mark("m1", 1)], "c1").runs).toEqual([[1, 1, 4, 1, 0]]);
});

it("own checks are in the list once", () => {
  const check = own("checks", { id: "k", row: 1, position: 3, verdict: "meets", day: "2026-01-12", drawn: true });
  const once = stateWithOwn({ state, log, rows }, [check], null);
  expect(once.checks).toEqual([["k", 1, 3, "meets", "2026-01-12", null, "", true, null, [], false, false]]);
  expect(stateWithOwn({ state: once, log, rows }, [check], null).checks).toHaveLength(1);
});

it("an own check tells its lot, and that it is a second look", () => {
  const check = own("checks", { id: "k", row: 1, position: 3, verdict: "faulty", day: "2026-01-12", drawn: true, lot_id: "l", second: true });
  expect(stateWithOwn({ state, log, rows }, [check], null).checks[0]?.slice(7)).toEqual([true, "l", [], false, true]);
});

it("a tree that this device could not judge stands among such at once, and among no checks; what is read anew keeps it until the service tells it", () => {
  const said = own("checks", { id: "u1", block_id: "b", row: 2, position: 7, not_judged: "gone", day: "2026-01-12", lot_id: "l" });
  const seen = stateWithOwn({ state, log, rows }, [said], null);
  expect([seen.checks, seen.not_judged]).toEqual([[], [["u1", 2, 7, "gone", "2026-01-12", "l"]]]);
  expect(stateWithOwn({ state: seen, log, rows }, [said], null).not_judged).toHaveLength(1);
  expect(withChecksOf(state, seen).not_judged).toEqual(seen.not_judged);
  expect(withChecksOf(seen, seen)).toEqual(seen);
});
