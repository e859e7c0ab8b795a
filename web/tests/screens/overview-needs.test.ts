import { describe, expect, it } from "vitest";
import type { Season } from "../../src/core/contracts";
import { mattersOfCrew, type AsideRecord, type Matters, type Overlap, type Version } from "../../src/core/matters";
import { beforeAll, spanOn } from "../../src/core/season-spans";
import { seasonNeeds } from "../../src/screens/overview/season-needs";
import { blockMatters, mattersOf } from "../../src/screens/overview/settling-needs";

const mark = (crew_id: string, day: string) => ({ crew_id, day });
const overlap = (block_id: string, row: number, trees: number, ...marks: object[]) =>
  ({ block_id, row, trees, crews: marks.map((one) => ({ id: (one as { crew_id: string }).crew_id, name: "" })), marks }) as Overlap;
const aside = (id: string, version: Partial<Version>) => ({ kind: "mark", id, status: "waiting", versions: [{ day: "2026-11-20", block_id: "b1", crew_id: "rook", ...version }] }) as AsideRecord;
const MATTERS = {
  overlaps: [overlap("b1", 7, 3, mark("rook", "2026-11-20"), mark("stoat", "2026-11-25")), overlap("b3", 60, 5, mark("finch", "2026-11-21"), mark("stoat", "2026-11-22"))],
  set_aside: [aside("m1", {}), aside("m2", { crew_id: "finch", block_id: "b3" }), aside("c1", { crew_id: null, block_id: "b3" }), aside("c2", { crew_id: null, block_id: "b1" })],
} as unknown as Matters;
const TODAY = "2026-11-27";

describe("what waits for a manager's word", () => {
  const of = (crew: string, day = TODAY, ofVariety: Set<string> | null = null, blocks = new Set(["b3"])) => mattersOfCrew(MATTERS, { crew, blocks, ofVariety, day });
  const ids = ({ overlaps, aside }: ReturnType<typeof of>) => [overlaps.map(({ row }) => row), aside.map(({ id }) => id)];

  it("is of a crew what names it, and what names no crew in its blocks", () => {
    expect(ids(of("finch"))).toEqual([[60], ["m2", "c1"]]);
    expect(ids(of("rook", TODAY, null, new Set(["b1"])))).toEqual([[7], ["m1", "c2"]]);
    expect(ids(of("stoat", TODAY, null, new Set()))).toEqual([[7, 60], []]);
    expect(ids(of("stoat", TODAY, new Set(["b1"]), new Set()))).toEqual([[7], []]);
    // of a day that is over: what both had marked by then
    expect(ids(of("stoat", "2026-11-22", null, new Set()))).toEqual([[60], []]);
  });

  it("leads a manager to where it is settled, row by row, and counts trees and records", () => {
    const everyBlock = [{ id: "b1", code: "B1" }, { id: "b3", code: "R3" }] as never;
    const needs = mattersOf({ everyBlock }, of("finch"));
    expect(needs.map(({ text }) => Number.parseInt(text, 10))).toEqual([5, 2]);
    const settling = { screen: "settling", block: null };
    expect(needs.map(({ to }) => to.map((way) => way.to))).toEqual([
      [settling, { screen: "settling", block: "b3", row: 60 }],
      [settling, { screen: "settling", block: "b3" }],
    ]);
    const blocks = [{ id: "b3", code: "R3", overlap: 5, overlap_rows: [60], set_aside: 2 }];
    expect(blockMatters({ figures: { overlap_trees: 5, set_aside: 2 }, blocks } as never)).toEqual(needs);
  });
});

const season = (name: string, opens_on: string, must_finish_on: string): Season => ({ id: name, name, opens_on, must_finish_on, closed: false });
const [OLD, NEW, NEXT] = [season("2024/25", "2024-11-01", "2025-03-10"), season("2025/26", "2025-11-01", "2026-03-10"), season("2026/27", "2026-12-01", "2027-03-10")];

describe("a season that is over", () => {
  it("is told with its last day, and one click leads to the next one, unless there is one", () => {
    const of = (seasons: Season[], season_ended_on: string | null, day = TODAY) =>
      seasonNeeds({ figures: { season_ended_on }, day } as never, { season: NEW, seasons, today: TODAY });
    const [over] = of([NEW], "2026-03-10");
    expect(over?.text).toMatch(/^2025\/26 ended on .*10 Mar.* 2026\./);
    expect(over?.to.map(({ to }) => to)).toEqual([{ screen: "set-up", block: null }]);
    const [ahead] = of([NEW, NEXT], "2026-03-10");
    expect([ahead?.text.includes("2026/27 opens on"), ahead?.to]).toEqual([true, []]);
    expect(of([NEW], null)).toEqual([]);
    expect(of([NEW], "2026-03-10", "2026-05-01")).toEqual([]);
  });
});

describe("the season of a day", () => {
  it("runs to the eve of the next one, today's to today; a day before all of them is refused", () => {
    const span = (day: string) => {
      const found = spanOn([NEW, OLD, NEXT], day, TODAY);
      return [found?.season.name, found?.first, found?.last];
    };
    expect(span("2025-06-01")).toEqual(["2024/25", "2024-11-01", "2025-10-31"]);
    expect(span("2025-11-01")).toEqual(["2025/26", "2025-11-01", TODAY]);
    expect([beforeAll([NEW, OLD], "2024-10-31", TODAY)?.name, beforeAll([NEW, OLD], "2024-11-01", TODAY), beforeAll([], "2020-01-01", TODAY)]).toEqual(["2024/25", null, null]);
    // a farm that is set up before its first season may look at today
    expect(beforeAll([NEXT], TODAY, TODAY)).toBeNull();
  });
});
