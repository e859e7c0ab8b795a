import { describe, expect, it } from "vitest";
import { withOwn, type Held } from "../../src/core/block-figures";
import type { BlockSummary, Check, CheckLine, Mark } from "../../src/core/contracts";
import type { LotPack } from "../../src/core/quality-contracts";
import type { Entry, EntryState } from "../../src/core/outbox";

const DAY = "2026-01-12";
const rows = [1, 2, 3].map((n) => ({ n, p: 10, e: 0, parts: [], ...(n === 1 ? { blanks: [4] } : {}) }));
const summary = (more: Partial<BlockSummary> = {}): BlockSummary =>
  ({ id: "k1", code: "K1", trees: 29, pruned: 0, checked: 0, drawn: 0, drawn_faulty: 0, verdict: "not_begun", ...more }) as BlockSummary;
/** A pack read up to `cursor`, in which another crew has pruned row 3. */
const pack = (cursor: number): Held => ({
  shape: { id: "k1", version: "v", rows },
  log: {
    id: "k1", season_id: "s", cursor, epoch: "e", crews: [{ id: "hollow", name: "Hollow" }, { id: "thorn", name: "Thorn" }],
    marks: [["m0", 3, 1, 10, 1, DAY]], settlements: [],
  },
  state: {
    id: "k1", day: DAY, cursor, crews: [], runs: [[3, 1, 10, 1, 1]],
    checks: [["c0", 3, 1, "meets", DAY, null, "", true]], closed: null,
  },
});
const upTo = (cursor: number) => ({ cursor, epoch: "e", season_id: "s" });
const entry = (record: Mark | Check, kind: Entry["kind"], state: EntryState, ackedCursor: number | null): Entry => ({
  id: record.id, kind, farmId: "f", subject: { block: "k1", row: record.row }, record, schema: 2, made_at: `${DAY}T09:00:00Z`,
  state, reason: "", acked_at: ackedCursor === null ? null : `${DAY}T09:01:00Z`, acked_cursor: ackedCursor, epoch: "e",
});
const mark = (id: string, row: number, first: number, last: number, state: EntryState = "waiting", acked: number | null = null): Entry =>
  entry({ id, season_id: "s", block_id: "k1", row, first, last, crew_id: "hollow", day: DAY, method: "ladder", device_at: `${DAY}T09:00:00Z` }, "marks", state, acked);
const check = (id: string, row: number, position: number, verdict: Check["verdict"], drawn: boolean): Entry =>
  entry({ id, season_id: "s", block_id: "k1", row, position, day: DAY, verdict, drawn, device_at: `${DAY}T09:00:00Z` }, "checks", "waiting", null);

describe("a block's figures with own records", () => {
  it("count trees that wait on this device, without blanks, and those of the pack", () => {
    const shown = withOwn(summary({ pruned: 10 }), upTo(5), pack(5), [mark("m1", 1, 1, 10)], "hollow");
    expect(shown.pruned).toBe(10 + 9);
  });

  it("over a pack of another epoch are the summary's and what own records add, whichever cursor is the greater", () => {
    const other = pack(9);
    const held = { ...other, log: { ...other.log, epoch: "before" } };
    const own = [mark("m1", 1, 1, 10)];
    expect(withOwn(summary({ pruned: 20 }), upTo(5), held, own, "hollow").pruned).toBe(20 + 9);
    expect(withOwn(summary({ pruned: 20 }), upTo(5), other, own, "hollow").pruned).toBe(10 + 9);
  });

  it("count a position once, however many marks of this device claim it", () => {
    const own = [mark("m1", 1, 1, 6), mark("m2", 1, 5, 10), mark("m3", 3, 1, 10)];
    expect(withOwn(summary({ pruned: 10 }), upTo(5), pack(5), own, "hollow").pruned).toBe(19);
  });

  it("do not count twice what the service has taken since the pack and told in the summary", () => {
    // the pack is of cursor 5, the summary of 9: it holds the mark acknowledged at 7, and 20 trees in all
    const own = [mark("m1", 1, 1, 10, "sent", 7), mark("m2", 2, 1, 5)];
    expect(withOwn(summary({ pruned: 20 }), upTo(9), pack(5), own, "hollow").pruned).toBe(25);
  });

  it("keep what a newer summary knows of others over an older pack", () => {
    expect(withOwn(summary({ pruned: 15 }), upTo(9), pack(5), [mark("m2", 2, 1, 5)], "hollow").pruned).toBe(20);
  });

  it("are the pack's where it is newer than the summary, as without a connection", () => {
    const own = [mark("m1", 1, 1, 10, "sent", 7)];
    const newer = pack(8);
    newer.log.marks.push(["m1", 1, 1, 10, 0, DAY]);
    expect(withOwn(summary({ pruned: 10 }), upTo(5), newer, own, "hollow").pruned).toBe(19);
  });

  it("do not count what the service set aside", () => {
    expect(withOwn(summary({ pruned: 10 }), upTo(5), pack(5), [mark("m1", 1, 1, 10, "set_aside", 7)], "hollow").pruned).toBe(10);
  });

  it("count a tree's last check; for the lot only drawn ones on pruned trees", () => {
    const own = [
      check("c1", 3, 1, "faulty", true),
      check("c2", 3, 2, "minor", false),
      check("c3", 2, 1, "faulty", true),
      check("c4", 3, 3, "faulty", true),
      check("c5", 3, 3, "meets", false),
    ];
    const shown = withOwn(summary({ pruned: 10, checked: 1, drawn: 1 }), upTo(5), pack(5), own, null);
    expect(shown).toMatchObject({ checked: 4, drawn: 2, drawn_faulty: 2, pruned: 10, verdict: "not_begun" });
  });

  it("count the trees of each lot where there are lots, one that two lots drew in both, and none of before", () => {
    const ofLot = (id: string, position: number, verdict: Check["verdict"], lot: string): Entry => {
      const made = check(id, 3, position, verdict, true);
      return { ...made, record: { ...made.record, lot_id: lot } as Check };
    };
    const own = [ofLot("c1", 2, "faulty", "one"), ofLot("c2", 2, "meets", "two"), ofLot("c3", 2, "minor", "two"), ofLot("c4", 5, "faulty", "two")];
    const shown = withOwn(summary({ checked: 1, drawn: 1 }), upTo(5), pack(5), own, null);
    expect(shown).toMatchObject({ checked: 3, drawn: 3, drawn_faulty: 2 });
  });

  it("count nothing that was checked for a lot which was cancelled, nor for none where a lot stands", () => {
    const made = check("c1", 3, 2, "faulty", true);
    const own = [{ ...made, record: { ...made.record, lot_id: "gone" } as Check }];
    const drawn = (more: Partial<Held>) => withOwn(summary({ checked: 1, drawn: 1 }), upTo(5), { ...pack(5), ...more }, own, null);
    expect(drawn({})).toMatchObject({ drawn: 1, drawn_faulty: 1 });
    // as before there were lots: the check that was drawn for none, on a pruned tree
    expect(drawn({ lots_cancelled: [{ id: "gone", number: 4 }] })).toMatchObject({ checked: 2, drawn: 1, drawn_faulty: 0 });
    expect(drawn({ lots_cancelled: [{ id: "gone", number: 4 }], lots: [{ id: "new" } as LotPack] })).toMatchObject({ checked: 2, drawn: 0 });
  });

  it("keep faulty trees apart that were gone over again since", () => {
    const held = pack(5);
    const before: CheckLine = ["c9", 3, 4, "faulty", DAY, null, "", true, null, [], true, false];
    const now = { ...held, state: { ...held.state, checks: [...held.state.checks, before] } };
    const shown = withOwn(summary({ checked: 2, drawn: 2 }), upTo(5), now, [check("c1", 3, 5, "faulty", true)], null);
    expect(shown).toMatchObject({ checked: 3, drawn: 3, drawn_faulty: 1, faulty_gone_over: 1 });
  });

  it("count no second look: it tells how auditors agree, not how a tree is", () => {
    const second = check("c1", 3, 1, "faulty", true);
    const own = [{ ...second, record: { ...second.record, second: true } as Check }];
    const shown = withOwn(summary({ checked: 1, drawn: 1 }), upTo(5), pack(5), own, null);
    expect(shown).toMatchObject({ checked: 1, drawn: 1, drawn_faulty: 0 });
  });
});

it("trees to be gone over again are the summary's, less what own marks answer", () => {
  const held = pack(5);
  held.log.returns = [{ id: "r", number: 1, crew_id: "hollow", due_on: DAY, points: [], note: "", stretches: [[3, 1, 6]], answers: [] }];
  const answer = entry({ ...(mark("a1", 3, 2, 4).record as Mark), return_id: "r" }, "marks", "waiting", null);
  const shown = withOwn(summary({ pruned: 10, again: 6 }), upTo(5), held, [answer], "hollow");
  expect([shown.again, shown.pruned]).toEqual([3, 10]);
});
