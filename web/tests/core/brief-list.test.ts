import { expect, it } from "vitest";
import type { BriefLine, Cultivar } from "../../src/core/brief-contracts";
import { briefList, briefOf, firstToCopy, heldBy, listParts, notTakenOver, seasonBefore, sourceParts, suggested, suitingHabits } from "../../src/core/brief-list";
import type { BlockSummary, Season, Variety } from "../../src/core/contracts";

const variety = (name: string): Variety => ({ id: `v-${name}`, name, habit: "spur", habit_source: "", is_biennial: false, is_canker_prone: false });
const block = (code: string, of: string, trees: number): BlockSummary => ({ id: `b-${code}`, code, variety: of, trees }) as BlockSummary;
const brief = (of: Partial<BriefLine>): BriefLine => ({ id: "x", season_id: "s", variety_id: null, block_id: null, latest: null, ...of });

const VARIETIES = ["Cortland", "Idared", "Lady", "Spartan"].map(variety);
const BLOCKS = [block("H1", "Cortland", 10), block("H2", "Lady", 90), block("H3", "Lady", 20), block("H4", "", 7), block("H5", "", 8)];
const BRIEFS = [brief({ variety_id: "v-Spartan" }), brief({ variety_id: "v-Cortland" }), brief({ block_id: "b-H3" }), brief({ block_id: "b-H5" })];

it("what has no brief stands first, the most trees before others; then by name", () => {
  const { varieties } = briefList(VARIETIES, BLOCKS, BRIEFS);
  expect(varieties.map((line) => line.variety.name)).toEqual(["Lady", "Idared", "Cortland", "Spartan"]);
  expect(varieties.map((line) => line.brief !== null)).toEqual([false, false, true, true]);
});

it("a variety's line tells its blocks, their trees, and which of them have a brief of their own", () => {
  const [lady, idared] = briefList(VARIETIES, BLOCKS, BRIEFS).varieties;
  expect([lady?.blocks.map(({ code }) => code), lady?.trees, lady?.own.map((one) => one.block.code)]).toEqual([["H2", "H3"], 110, ["H3"]]);
  expect([idared?.blocks, idared?.trees]).toEqual([[], 0]);
});

it("a block that no variety is named for is listed by itself, with its own brief or as lacking one", () => {
  const { bare, apart } = briefList(VARIETIES, BLOCKS, BRIEFS);
  expect([bare.map(({ code }) => code), apart.map((one) => one.block.code)]).toEqual([["H4"], ["H5"]]);
});

it("habits are offered as the service offers them for cultivars that fruit alike", () => {
  const cultivars = [{ habit: "tip", suiting_habits: ["tip_renewed", "tip_alternating"] }] as Cultivar[];
  expect(suitingHabits("tip", cultivars)).toEqual(["tip_renewed", "tip_alternating"]);
  expect(suitingHabits("unknown", cultivars)).toEqual([]);
});

it("a source is told by its words, with its address behind them where it has one", () => {
  expect(sourceParts("A list, 2019: https://a.example/x; The grower: by eye; https://b.example")).toEqual([
    { words: "A list, 2019", address: "https://a.example/x" },
    { words: "The grower: by eye", address: null },
    { words: "https://b.example", address: null },
  ]);
});

it("the season before is the one that opened last before, whatever the order they are told in", () => {
  const season = (opens_on: string): Season => ({ id: opens_on, name: opens_on, opens_on, must_finish_on: "2030-01-01", closed: false });
  const all = ["2024-11-01", "2026-11-01", "2023-11-01", "2025-11-01"].map(season);
  expect(seasonBefore(all, season("2026-11-01"))?.id).toBe("2025-11-01");
  expect(seasonBefore(all, season("2023-11-01"))).toBeNull();
});

it("what is there already is not offered to be taken over", () => {
  const earlier = [brief({ id: "1", variety_id: "v-Lady" }), brief({ id: "2", block_id: "b-H3" }), brief({ id: "3", variety_id: "v-Idared" })];
  expect(notTakenOver(earlier, BRIEFS).map(({ id }) => id)).toEqual(["1", "3"]);
  expect(notTakenOver(earlier, earlier)).toEqual([]);
});

it("a brief that was never published is told apart: crews have none", () => {
  const latest = { version: 1, published_at: "2026-01-11T23:30:00+00:00" };
  const briefs = [...BRIEFS.slice(1), brief({ variety_id: "v-Spartan", latest })];
  const { needed, unpublished, published } = listParts(briefList(VARIETIES, BLOCKS, briefs));
  expect([needed.varieties.map(({ variety: { name } }) => name), needed.blocks.map(({ code }) => code)]).toEqual([["Lady", "Idared"], ["H4"]]);
  expect([unpublished.varieties.map((one) => one.variety.name), unpublished.blocks.map((one) => one.block.code)]).toEqual([["Cortland"], ["H5"]]);
  expect([published.varieties.map((one) => one.variety.name), published.blocks]).toEqual([["Spartan"], []]);
});

it("what a known name suggested goes when the name is typed on, and what was chosen by hand stays", () => {
  const cortland = { name: "Cortland", habit: "tip", source: "A list" } as Cultivar;
  const nothing = { habit: "unknown", source: "" } as const;
  const known = { habit: "tip", source: "A list" } as const;
  expect(suggested(nothing, undefined, cortland)).toEqual(known);
  expect(suggested(known, cortland, undefined)).toEqual(nothing); // Cortland Red is another one
  const own = { habit: "spur", source: "The grower" } as const;
  expect([suggested(own, undefined, cortland), suggested(own, cortland, undefined)]).toEqual([own, own]);
});

it("a brief that is there already is found by what it is for", () => {
  expect(briefOf(BRIEFS, { variety_id: "v-Cortland" })?.variety_id).toBe("v-Cortland");
  expect(briefOf(BRIEFS, { block_id: "b-H5" })?.block_id).toBe("b-H5");
  expect([briefOf(BRIEFS, { variety_id: "v-Lady" }), briefOf(BRIEFS, { block_id: "b-H1" })]).toEqual([null, null]);
});

it("a block's own brief begins with that of its variety, which holds for it so far", () => {
  expect(firstToCopy(BRIEFS, "v-Cortland")?.variety_id).toBe("v-Cortland");
  expect([firstToCopy(BRIEFS, null), firstToCopy(BRIEFS, "v-Lady"), firstToCopy([], "v-Lady")]).toEqual([BRIEFS[0], BRIEFS[0], null]);
});

it("a card is printed for the blocks that a brief holds for: those with their own go by that", () => {
  const latest = { version: 1, published_at: "2026-01-11T23:30:00+00:00" };
  const [of_variety, draft] = [brief({ variety_id: "v-Lady", latest }), brief({ block_id: "b-H3" })];
  const codes = (some: readonly BriefLine[]): string[] => heldBy(BLOCKS.slice(1, 3), some).map(({ code }) => code);
  expect(codes([of_variety, draft])).toEqual(["H2", "H3"]);
  expect(codes([of_variety, { ...draft, latest }])).toEqual(["H2"]);
});
