import { expect, it } from "vitest";
import type { BlockSummary, Figures, Overview } from "../../src/core/contracts";
import { chosenBlocks, glanceOf, onDay } from "../../src/core/glance";
import { blockPaces, dayOn, prunedBy, recentPace, soFar, WHOLE, yearBefore, yearsOn, type SeasonDays } from "../../src/core/season-days";

const SPAN = { id: "s", name: "2026/27", opens_on: "2026-11-01", must_finish_on: "2027-03-01" };
/** Two blocks, two crews, three days; on the second day both crews claim a tree of block a. */
const SEASON: SeasonDays = {
  farm_id: "f", cursor: 9, epoch: "e", season: SPAN, before: null, today: "2026-11-05",
  days: ["2026-11-02", "2026-11-03", "2026-11-05"],
  blocks: [["a", 100], ["b", 50]],
  crews: ["one", "two"],
  pruned: [[0, 0, 30], [1, 0, 21], [1, 1, 10], [2, 1, 5]],
  credited: [[0, 0, 0, 30], [1, 0, 0, 10.5], [1, 0, 1, 10.5], [1, 1, 1, 10], [2, 1, 1, 5]],
};
const OF_TWO = { blocks: null, crew: "two" };

it("adds up what was pruned by a day, of a crew, of some blocks", () => {
  expect([...prunedBy(SEASON, "2026-11-03", WHOLE)]).toEqual([["a", 51], ["b", 10]]);
  expect([...prunedBy(SEASON, "2026-11-04", OF_TWO)]).toEqual([["a", 10.5], ["b", 10]]);
  expect([...prunedBy(SEASON, "2026-11-01", WHOLE)]).toEqual([]);
  expect(soFar(SEASON, "2026-11-05", WHOLE)).toEqual([["2026-11-02", 30], ["2026-11-03", 61], ["2026-11-05", 66]]);
  expect(soFar(SEASON, "2026-11-04", { blocks: new Set(["b"]), crew: null })).toEqual([["2026-11-03", 10]]);
  expect(soFar(SEASON, "2026-11-05", { blocks: null, crew: "nobody" })).toEqual([]);
});

it("a pace is the mean of the last ten days worked at most, and of a block of the days on which it was worked", () => {
  expect(recentPace([])).toBeNull();
  expect(recentPace(soFar(SEASON, "2026-11-05", WHOLE))).toEqual({ perDay: 22, days: 3 });
  const long = Array.from({ length: 12 }, (_, n) => [dayOn("2026-11-01", n), (n + 1) ** 2] as [string, number]);
  expect(recentPace(long)).toEqual({ perDay: 14, days: 10 }); // (144 - 4) / 10
  expect([...blockPaces(SEASON, "2026-11-05", WHOLE)]).toEqual([["a", 26], ["b", 8]]);
});

it("the same calendar day of another year, also in a leap year", () => {
  expect([yearBefore("2026-11-27"), yearBefore("2028-02-29"), dayOn("2026-12-31", 1)]).toEqual(["2025-11-27", "2027-02-28", "2027-01-01"]);
  expect(yearsOn([["2027-02-28", 3]], 1)).toEqual([["2028-02-28", 3]]);
});

const NO_FIGURES = { lots: { accepted: 0, accepted_in_part: 0, send_back: 0, too_few: 0 }, working_days_left: 10, must_finish_on: "2027-03-01" };

function block(id: string, variety: string, trees: number, pruned: number, crew: string | null = null): BlockSummary {
  const queue = crew === null ? null : { crew_id: crew, place: 1 };
  return { id, code: id, variety, trees, pruned, queue, rows: 4, rows_done: 1, overlap: 1, set_aside: 0, checked: 6, meets: 4, minor: 1, faulty: 1, drawn: 5, drawn_faulty: 1, verdict: "too_few" } as unknown as BlockSummary;
}
const FARM: Overview = {
  farm_id: "f", day: "2026-11-05", season_id: "s", cursor: 9, epoch: "e",
  blocks: [block("a", "Red", 100, 51), block("b", "Green", 50, 15), block("c", "Red", 20, 0, "two")],
  figures: NO_FIGURES as unknown as Figures,
};

it("varieties' figures add up to the farm's", () => {
  const [red, green] = ["Red", "Green"].map((variety) => glanceOf(FARM, { crew: null, variety }, SEASON).figures);
  const all = glanceOf({ ...FARM, blocks: FARM.blocks.map((one) => ({ ...one, variety: "Red" })) }, { crew: null, variety: "Red" }, SEASON).figures;
  for (const name of ["trees", "pruned", "trees_left", "rows", "rows_done", "overlap_trees", "checked", "meets", "minor", "faulty", "drawn"] as const) {
    expect([name, (red?.[name] ?? 0) + (green?.[name] ?? 0)]).toEqual([name, all[name]]);
  }
  expect(all).toMatchObject({ trees: 170, pruned: 66, needed_per_day: 11, recent_per_day: 22, recent_days: 3, lots: { too_few: 3 } });
});

it("a crew is looked at in the blocks that it was given and those where it pruned, by its own trees", () => {
  const crew = (id: string) => chosenBlocks(FARM.blocks, { crew: id, variety: null }, SEASON).map((one) => one.id);
  expect([crew("one"), crew("two"), crew("nobody")]).toEqual([["a"], ["a", "b", "c"], []]);
  const glance = glanceOf(FARM, { crew: "two", variety: "Red" }, SEASON);
  expect([...(glance.own ?? [])]).toEqual([["a", 10.5]]);
  expect(glance.figures).toMatchObject({ trees: 120, pruned: 51, trees_left: 69, recent_per_day: 11 });
  expect(glanceOf(FARM, { crew: null, variety: null }, SEASON)).toMatchObject({ figures: FARM.figures, own: null });
});

it("a day that passes by has its own trees, and nothing that only the service can tell", () => {
  const then = onDay(FARM, "2026-11-03", SEASON);
  expect(then.blocks.map(({ pruned }) => pruned)).toEqual([51, 10, 0]);
  expect(then.figures).toMatchObject({ pruned: 61, trees_left: 109, recent_per_day: 31, needed_per_day: null });
});
