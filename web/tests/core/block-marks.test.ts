import { describe, expect, it } from "vitest";
import { asideMarks, lastActions, rowsOf, standingAnswers, standingMarks } from "../../src/core/block-marks";
import type { BlockLog, Mark } from "../../src/core/contracts";
import { newMark, newWithdrawal } from "../../src/core/records";
import { momentText } from "../../src/core/numbers";
import { acknowledged, tally, type Entry, type EntryState } from "../../src/core/outbox";
import { entryWords, PARTS } from "../../src/core/queue-wording";

const by = { deviceId: "d", recorderId: null };
const about = { seasonId: "s", blockId: "k1", crewId: "hollow", day: "2026-01-20", method: "ladder" as const, ...by };
const log: BlockLog = {
  id: "k1",
  season_id: "s",
  cursor: 5,
  epoch: "e",
  crews: [
    { id: "thorn", name: "Thorn" },
    { id: "hollow", name: "Hollow" },
  ],
  marks: [
    ["m1", 3, 1, 10, 0, "2026-01-19"],
    ["m2", 4, 1, 10, 1, "2026-01-20"],
  ],
  settlements: [],
};
function entry(record: Entry["record"], kind: Entry["kind"], state: EntryState = "waiting", made = "2026-01-20T09:00:00Z"): Entry {
  return {
    id: record.id,
    kind,
    farmId: "f",
    subject: { block: "k1", row: 0 },
    record,
    schema: 2,
    made_at: made,
    state,
    reason: state === "set_aside" ? "the block was closed then" : "",
    acked_at: null,
    acked_cursor: null,
    epoch: null,
  };
}
const mark = (id: string, row: number, at: string, more: Partial<Mark> = {}): Mark => ({
  ...newMark(about, row, { first: 1, last: 9 }, { id, at }),
  ...more,
});
const ids = (of: readonly { id: string }[]): string[] => of.map(({ id }) => id);

describe("marks that stand", () => {
  it("are the log's and this device's own, once, without what was taken back", () => {
    const pending = [
      entry(mark("m3", 5, "t1"), "marks"),
      entry(mark("m2", 4, "t1"), "marks", "sent"),
      entry(mark("other", 5, "t1", { block_id: "k2" }), "marks"),
      entry(newWithdrawal("m2", by, { id: "w1", at: "t2" }), "withdrawals"),
    ];
    expect(ids(standingMarks(log, pending, "hollow"))).toEqual(["m1", "m3"]);
  });

  it("of another crew stay, whatever this device says, unless it speaks for any", () => {
    const foreign = [entry(newWithdrawal("m1", by, { id: "w1", at: "t" }), "withdrawals")];
    expect(ids(standingMarks(log, foreign, "hollow"))).toEqual(["m1", "m2"]);
    expect(ids(standingMarks(log, foreign, null))).toEqual(["m2"]);
  });

  it("stay where the service set their withdrawal aside, which is counted and said in words until the manager decides", () => {
    const waiting = { ...entry(newWithdrawal("m1", by, { id: "w1", at: "t" }), "withdrawals"), subject: { block: "k1", row: 3 } };
    const reason = "it was handed in by another crew's tablet";
    const heard = { at: "2026-01-20T10:00:00Z", server_at: "2026-01-20T10:00:00Z", cursor: 9, epoch: "e" };
    const told = acknowledged([waiting], [{ id: "w1", outcome: "set_aside", reason }], heard);
    expect(ids(standingMarks(log, told, null))).toEqual(["m1", "m2"]);
    expect(tally(told).setAside).toBe(1);
    expect(told.map((one) => `${entryWords(one, "K1", "UTC")}: ${one.reason}`)).toEqual([`Withdrawal, K1 row 3, ${momentText(waiting.made_at, "UTC")}: ${reason}`]);
    expect(PARTS.set_aside.todo).toContain("The manager sees these too");
    const aside = [entry(newWithdrawal("m2", by, { id: "w2", at: "t" }), "withdrawals", "set_aside")];
    expect(ids(standingMarks(log, aside, "hollow"))).toEqual(["m1", "m2"]);
  });
});

describe("what can be undone", () => {
  const several = [entry(mark("a", 6, "09:10"), "marks"), entry(mark("b", 7, "09:10"), "marks", "sent")];
  const one = entry(mark("c", 8, "09:20", { block_id: "k2" }), "marks");

  it("is one touch after the other, newest first, in any block, also after the service has it", () => {
    const actions = lastActions([...several, one], "hollow", "2026-01-20", "Europe/London");
    expect(actions.map(({ block, marks }) => [block, ids(marks)])).toEqual([
      ["k2", ["c"]],
      ["k1", ["a", "b"]],
    ]);
    expect(rowsOf(actions[1]?.marks ?? [])).toEqual([6, 7]);
  });

  it("is nothing that was taken back, set aside, refused, another crew's, or of another day", () => {
    const back = entry(newWithdrawal("a", by, { id: "w", at: "t" }), "withdrawals");
    const others = [
      entry(mark("x", 1, "1", { crew_id: "thorn" }), "marks"),
      entry(mark("y", 1, "2"), "marks", "set_aside"),
      entry(mark("z", 1, "3"), "marks", "refused"),
      entry(mark("v", 1, "4"), "marks", "sent", "2026-01-19T23:59:59Z"),
    ];
    const actions = lastActions([...several, back, ...others], "hollow", "2026-01-20", "Europe/London");
    expect(actions.map(({ marks }) => ids(marks))).toEqual([["b"]]);
    // the day is the farm's: in Auckland that was the 20th already
    expect(lastActions(others, "hollow", "2026-01-20", "Pacific/Auckland").length).toBe(1);
  });
});

it("marks set aside are listed with the reason until they are taken back", () => {
  const aside = entry(mark("a", 6, "t"), "marks", "set_aside");
  expect(asideMarks([aside], "k1")).toMatchObject([{ id: "a", row: 6, reason: "the block was closed then", isRefused: false }]);
  expect(asideMarks([{ ...aside, state: "refused" }], "k1")).toMatchObject([{ id: "a", isRefused: true }]);
  expect(asideMarks([aside], "k2")).toEqual([]);
  expect(asideMarks([aside, entry(newWithdrawal("a", by, { id: "w", at: "t" }), "withdrawals")], "k1")).toEqual([]);
});

describe("marks that answer a return", () => {
  const returned: BlockLog = {
    ...log,
    returns: [{ id: "r", number: 1, crew_id: "hollow", due_on: "2026-01-27", points: [], note: "", stretches: [[4, 1, 10]], answers: [["a1", 4, 1, 3, 1, "2026-01-20"]] }],
  };
  const own = entry(newMark(about, 4, { first: 4, last: 6 }, { id: "a2", at: "2026-01-20T09:00:00Z" }, "r"), "marks");

  it("stand apart from those of the first round, so that no day's work counts them", () => {
    expect(standingMarks(returned, [own], "hollow").map(({ id }) => id)).toEqual(["m1", "m2"]);
    expect(standingAnswers(returned, [own], "hollow").map(({ id, returnId }) => [id, returnId])).toEqual([["a1", "r"], ["a2", "r"]]);
  });

  it("are undone as any other, also those that the service knows", () => {
    const back = ["a1", "a2"].map((id) => entry(newWithdrawal(id, by, { id: `w-${id}`, at: "2026-01-20T09:01:00Z" }), "withdrawals"));
    expect(lastActions([own], "hollow", "2026-01-20", "UTC").map(({ marks }) => marks.map(({ returnId }) => returnId))).toEqual([["r"]]);
    expect(standingAnswers(returned, [own, ...back], "hollow")).toEqual([]);
    expect(standingAnswers(returned, [own, ...back], "thorn")).toHaveLength(2);
  });
});
