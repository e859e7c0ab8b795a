import { describe, expect, it } from "vitest";
import type { BlockLog, BlockState, BlockSummary, Crew, Farm, Figures, Overview, Season } from "../../src/core/contracts";
import type { Entry } from "../../src/core/outbox";
import { stateWithOwn } from "../../src/core/own-records";
import { farmNow, overviewInSeason, packInSeason, seasonOn } from "../../src/core/seasons";
import { briefOf } from "./brief-samples";

const season = (id: string, opens_on: string): Season => ({ id, name: id, opens_on, must_finish_on: "2030-01-01", closed: false });
const [first, second] = [season("s1", "2025-12-01"), season("s2", "2026-11-15")];
const crew = (id: string): Crew => ({ id, name: id.toUpperCase(), foreman_id: null, method: "ladder", people: 0 });
const farm = (more: Partial<Farm> = {}): Farm => ({
  id: "f", name: "Ottlemere", time_zone: "Europe/London", today: "2026-01-12", season: first, seasons: [second, first],
  crews: [crew("c1")], people: [], varieties: [], ...more,
});
const log: BlockLog = {
  id: "b", season_id: "s1", cursor: 5, epoch: "e", crews: [{ id: "c1", name: "C1" }], marks: [["m0", 1, 1, 10, 0, "2026-01-12"]],
  settlements: [[1, "t", 1, 1, 10, 0, ["m0"]]],
};
const state: BlockState = {
  id: "b", day: "2026-01-12", cursor: 5, crews: log.crews, runs: [[1, 1, 10, 1, 0]], checks: [["k", 1, 1, "meets", "2026-01-12", null, "", true]], closed: null,
};

describe("the season of a day", () => {
  it("is the last one opened by then, else the first ahead, in whatever order they come", () => {
    const on = (day: string) => seasonOn([second, first], day)?.id;
    expect(["2025-01-01", "2025-12-01", "2026-11-14", "2026-11-15", "2029-01-01"].map(on)).toEqual(["s1", "s1", "s1", "s2", "s2"]);
    expect(seasonOn([], "2026-01-01")).toBeNull();
  });

  it("turns on a device by its own calendar, and never before the season that the service last told", () => {
    const now = (kept: Farm, iso: string) => farmNow(kept, Date.parse(iso));
    expect(now(farm(), "2026-11-15T09:00:00Z")).toMatchObject({ today: "2026-11-15", season: { id: "s2" } });
    const told = farm({ today: "2026-12-01", season: second });
    expect(now(told, "1970-01-01T09:00:00Z")).toMatchObject({ today: "1970-01-01", season: { id: "s2" } });
  });
});

describe("a block that was read in another season", () => {
  it("keeps its ground and loses its work; one of this season is left alone", () => {
    expect(packInSeason({ log, state }, farm())).toEqual({ log, state });
    const turned = packInSeason({ log, state }, farm({ season: second }));
    expect(turned.log).toMatchObject({ season_id: "s2", cursor: 5, marks: [], settlements: [], crews: log.crews });
    expect(turned.state).toMatchObject({ runs: [], checks: [], crews: log.crews });
    expect(packInSeason({ log, state, brief: briefOf(1, []) }, farm({ season: second })).brief).toBeNull();
  });

  it("an overview of it has nothing pruned, checked or to settle", () => {
    const block = { id: "b", trees: 50, rows: 2, pruned: 50, overlap_rows: [1], verdict: "accepted", must_check: 3 } as unknown as BlockSummary;
    const overview = { farm_id: "f", day: "2026-01-12", season_id: "s1", cursor: 5, epoch: "e", figures: { trees: 50, rows: 2, pruned: 50 } as Figures, blocks: [block] } as Overview;
    expect(overviewInSeason(overview, farm())).toBe(overview);
    const turned = overviewInSeason(overview, farm({ season: second }));
    expect(turned).toMatchObject({ season_id: "s2", figures: { trees: 50, trees_left: 50, pruned: 0, needed_per_day: null } });
    expect(turned.blocks[0]).toMatchObject({ trees: 50, pruned: 0, overlap_rows: [], verdict: "not_begun", must_check: null });
  });
});

it("own marks of a crew that the log does not name yet are drawn as that crew's, and no crew changes its place", () => {
  const pack = packInSeason({ log, state }, farm({ crews: [crew("c2"), crew("c1")] }));
  const record = { id: "m1", season_id: "s1", block_id: "b", row: 2, first: 1, last: 4, crew_id: "c2", day: "2026-01-12", method: "ladder" };
  const own = { id: "m1", kind: "marks", record, subject: { block: "b", row: 2 } } as unknown as Entry;
  const rows = [1, 2].map((n) => ({ n, p: 10, e: 0, parts: [] }));
  const seen = stateWithOwn({ ...pack, rows }, [own], "c2");
  expect(seen.crews).toEqual([{ id: "c1", name: "C1" }, { id: "c2", name: "C2" }]);
  expect(seen.runs).toEqual([[1, 1, 10, 1, 0], [2, 1, 4, 1, 1]]);
  expect(stateWithOwn({ ...pack, log: null, rows }, [own], "c2").runs.at(-1)).toEqual([2, 1, 4, 1, 1]);
});
