/** Counts on this device: own ones over the service's, by the rule of `orchardmap.work.tree_counts`. */

import { describe, expect, it } from "vitest";
import type { BlockCounts, CountLine, ShapeRow, TreeCount } from "../../src/core/contracts";
import type { Entry } from "../../src/core/outbox";
import { countedTrees, lastOwn, linesOfSeason, newTreeCount, standingLines, type TreeFound } from "../../src/core/tree-counts";

const CONTEXT = { seasonId: "s", blockId: "b", what: "limbs", day: "2026-01-20", deviceId: "t", recorderId: null } as const;
const AT = "2026-01-20T10:00:00Z";
const record = (id: string, found: Partial<TreeFound> = {}): TreeCount =>
  newTreeCount(CONTEXT, { row: 1, position: 1, number: 20, seed: 7, ...found }, { id, at: AT });
const entry = (id: string, found: Partial<TreeFound> = {}, more: Partial<Entry> = {}): Entry => ({
  id, kind: "tree_counts", farmId: "f", subject: { block: "b", row: 1, position: 1 }, record: record(id, found), schema: 4,
  made_at: AT, state: "waiting", reason: "", acked_at: null, acked_cursor: null, epoch: null, ...more,
});
const line = (id: string, number: number, position = 1): CountLine => [id, 1, position, "limbs", number, true];
const ids = (lines: readonly CountLine[]): string[] => lines.map(([id]) => id).sort();

describe("a new count", () => {
  it("says only what there is to say", () => {
    expect(record("a", { seed: null })).not.toHaveProperty("seed");
    expect(record("a", { seed: 0 })).toHaveProperty("seed", 0);
    expect(record("a")).not.toHaveProperty("recorder_id");
    expect(record("a", { number: null, replacesId: "z" })).toMatchObject({ number: null, replaces_id: "z" });
  });
});

describe("the counts that stand", () => {
  it("are the service's and own ones, each once", () => {
    expect(ids(standingLines([line("1", 20), line("2", 21, 2)], [entry("2", { position: 2, number: 21 }), entry("3", { position: 3 })]))).toEqual(["1", "2", "3"]);
  });

  it("are without what an own one corrects or takes back, whether that was sent already or not", () => {
    expect(ids(standingLines([line("1", 20)], [entry("2", { number: 23, replacesId: "1" })]))).toEqual(["2"]);
    expect(ids(standingLines([line("1", 20)], [entry("2", { number: null, replacesId: "1" })]))).toEqual([]);
    expect(ids(standingLines([], [entry("2", { number: null, replacesId: "1" }), entry("1")]))).toEqual([]);
  });

  it("are not without the count of another tree, or of another thing", () => {
    expect(ids(standingLines([line("1", 20)], [entry("2", { position: 2, replacesId: "1" })]))).toEqual(["1", "2"]);
  });

  it("are none of a season that is over", () => {
    const counts: BlockCounts = { id: "b", season_id: "old", cursor: 1, epoch: "e", trees: 9, target: null, lines: [line("1", 20)] };
    expect(linesOfSeason(counts, "s")).toEqual([]);
    expect(linesOfSeason({ ...counts, season_id: "s" }, "s")).toHaveLength(1);
    expect(linesOfSeason(null, "s")).toEqual([]);
  });
});

describe("the trees counted", () => {
  const rows: ShapeRow[] = [{ n: 1, p: 5, e: 0, parts: [], blanks: [2], pollinizers: [3] }];

  it("have the mean of their counts; blanks, pollinizers and what lies beyond the row are none", () => {
    const lines = [line("1", 20), line("2", 23), line("3", 9, 2), line("4", 9, 3), line("5", 9, 6), line("6", 30, 5)];
    expect(countedTrees(lines, "limbs", rows)).toEqual([{ row: 1, number: 21.5 }, { row: 1, number: 30 }]);
    expect(countedTrees(lines, "buds_before", rows)).toEqual([]);
  });
});

describe("what can be undone", () => {
  const last = (entries: Entry[]): string | undefined => lastOwn(entries, "b", "s", "limbs")?.id;

  it("is this device's last count of that thing that stands", () => {
    expect(last([entry("1"), entry("2", { position: 2 })])).toBe("2");
    expect(last([entry("1"), entry("2"), entry("3", { number: null, replacesId: "2" })])).toBe("1");
    expect(last([entry("1"), entry("2", {}, { state: "refused" }), entry("3", {}, { state: "set_aside" })])).toBe("1");
    expect(last([entry("1", {}, { subject: { block: "other", row: 1 } })])).toBeUndefined();
    expect(last([])).toBeUndefined();
  });
});
