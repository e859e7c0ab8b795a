import { describe, expect, it } from "vitest";
import type { BlockLog, BlockSummary, Mark } from "../../src/core/contracts";
import type { Entry } from "../../src/core/outbox";
import { noAnswer } from "../data/device-kit";
import type { Context } from "../../src/screens/context";
import { readDay } from "../../src/screens/rows/day-reading";

const DAY = "2026-01-20";
const summary = (id: string, pruned: number): BlockSummary => ({ id, code: id, pruned, trees: 20, shape_version: "v" }) as BlockSummary;
const blocks = [summary("k1", 10), summary("k2", 10), summary("k3", 10), summary("k4", 0)];
const shape = (id: string) => ({ id, version: "v", rows: [1, 2].map((n) => ({ n, p: 10, e: 0, parts: [] })) });
const log = (id: string, ...marks: BlockLog["marks"]): BlockLog =>
  ({ id, season_id: "s", cursor: 5, epoch: "e", crews: [{ id: "hollow", name: "Hollow" }, { id: "thorn", name: "Thorn" }], marks, settlements: [] });
/** What the device holds: the crew was in k1 today and in k2 yesterday; k3 and k4 are not here. */
const held = new Map([
  ["k1", { shape: shape("k1"), log: log("k1", ["m1", 1, 1, 10, 0, DAY]) }],
  ["k2", { shape: shape("k2"), log: log("k2", ["m2", 1, 1, 10, 0, "2026-01-19"], ["m3", 2, 1, 10, 1, DAY]) }],
]);
const own = (block: string): Entry => {
  const record: Mark = {
    id: "own", season_id: "s", block_id: block, row: 2, first: 1, last: 5, crew_id: "hollow", day: DAY, method: "ladder", device_at: `${DAY}T09:00:00Z`,
  };
  return {
    id: record.id, kind: "marks", farmId: "f", subject: { block, row: 2 }, record, schema: 2, made_at: record.device_at,
    state: "waiting", reason: "", acked_at: null, acked_cursor: null, epoch: null,
  };
};

/** Read the crew's day; `named` are the blocks that the service names, null when it does not answer. */
async function read(named: string[] | null, entries: Entry[] = []) {
  const asked: string[] = [];
  const context = {
    farm: { id: "f" },
    who: { state: "device", device: { crew_id: "hollow" }, farms: [] },
    request: async () => {
      if (named === null) throw noAnswer();
      return { crew_days: [], blocks: named };
    },
    api: {
      log: async (id: string) => {
        asked.push(id);
        if (named === null) throw noAnswer();
        return held.get(id)?.log ?? log(id, ["m9", 1, 1, 4, 0, DAY]);
      },
      shape: async (id: string) => shape(id),
    },
    ground: { block: async (id: string) => held.get(id) ?? null },
    sending: { entries: () => entries, pendingFor: (block: string) => entries.filter(({ subject }) => subject.block === block) },
  } as unknown as Context;
  return { ...(await readDay(context, { crewId: "hollow", day: DAY, blocks })), asked };
}

describe("the crew's day", () => {
  it("asks for the blocks that the service names and those of own records, and for no other", async () => {
    const { asked, work, partly } = await read(["k3"], [own("k1")]);
    expect(asked.sort()).toEqual(["k1", "k3"]);
    expect(work).toEqual({ trees: 10 + 5 + 4, rows: 3, blocks: ["k1", "k3"] });
    expect(partly).toBe(false);
  });

  it("without an answer is what the device holds, asks for nothing more, and says that a block is not here", async () => {
    const { asked, work, partly } = await read(null, [own("k2")]);
    expect(asked).toEqual([]);
    expect(work).toEqual({ trees: 10 + 5, rows: 2, blocks: ["k1", "k2"] });
    expect(partly).toBe(true); // k3 is begun and not here; of k4 nobody has pruned a tree
  });

  it("without an answer is whole when every begun block is on the device", async () => {
    held.set("k3", { shape: shape("k3"), log: log("k3") });
    expect((await read(null)).partly).toBe(false);
    held.delete("k3");
  });
});
