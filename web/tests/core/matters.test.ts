import { describe, expect, it } from "vitest";
import {
  cameSince,
  claimOf,
  creditsOf,
  differing,
  positionsIn,
  heldBefore,
  inOrder,
  recordSettlement,
  settlementsOf,
  splitLimits,
  standingSettlements,
  windowOf,
  type Choice,
  type CrewDayMatter,
  type Overlap,
  type OverlapMark,
  type Version,
} from "../../src/core/matters";
import { SETTLING } from "../../src/core/settling-wording";

const mark = (id: string, crew: string, first: number, last: number): OverlapMark => ({
  id, content_hash: `hash-${id}`, first, last, crew_id: crew, crew: crew.toUpperCase(), day: "2026-11-25",
  server_at: "2026-11-25T09:00:00Z", recorder_id: null, device_id: null,
});
const overlap = (part: Partial<Overlap> = {}): Overlap => ({
  season_id: "s", block_id: "b", row: 3, first: 10, last: 20, trees: 11, status: "contested",
  crews: [{ id: "h", name: "Hollow" }, { id: "t", name: "Thorn" }],
  marks: [mark("m2", "t", 10, 26), mark("m1", "h", 1, 14), mark("m3", "h", 15, 20)],
  settlements: [], ...part,
});
const ids = () => {
  let n = 0;
  return () => `id${(n += 1)}`;
};

describe("an overlap", () => {
  it("is drawn over all that its marks claim, each crew's marks joined where they touch", () => {
    expect(windowOf(overlap())).toEqual({ first: 1, last: 26 });
    expect(claimOf(overlap(), "h")).toEqual([{ first: 1, last: 20 }]);
    expect(claimOf(overlap({ marks: [mark("a", "h", 1, 4), mark("b", "h", 6, 8)] }), "h")).toHaveLength(2);
  });

  it("re-opened ones come first, then blocks in the order people count, then rows", () => {
    const at = (block: string, row: number, status: Overlap["status"] = "contested") => overlap({ block_id: block, row, status });
    const sorted = inOrder([at("K10", 1), at("K2", 9), at("K2", 4), at("K10", 7, "reopened")], (id) => id);
    expect(sorted.map(({ block_id, row }) => `${block_id}/${row}`)).toEqual(["K10/7", "K2/4", "K2/9", "K10/1"]);
  });

  it("what came in since is what the last settlement did not look at, whatever the clocks say", () => {
    const before = { number: 4, first: 10, last: 20, credited_crew_id: "h", note: "", settled_at: "2026-11-25T18:00:00Z" };
    const again = overlap({
      status: "reopened",
      settlements: [{ ...before, seen: ["hash-m1", "m2"] }, { ...before, number: 2, seen: [] }],
    });
    expect(heldBefore(again)?.number).toBe(4);
    expect(cameSince(again).map(({ id }) => id)).toEqual(["m3"]);
    const changed = again.marks.map((one) => (one.id === "m1" ? { ...one, content_hash: "another" } : one));
    expect(cameSince({ ...again, marks: changed }).map(({ id }) => id)).toEqual(["m1", "m3"]);
    expect(cameSince(overlap())).toEqual([]);
  });
});

describe("settling an overlap", () => {
  const seen = ["hash-m1", "hash-m2", "hash-m3"];
  const everything: Choice[] = [
    { how: "crew", crewId: "h" },
    { how: "nobody" },
    { how: "split", firstCrewId: "h", secondCrewId: "t", from: 15 },
  ];

  it("names every mark that was looked at, and every position once", () => {
    for (const choice of everything) {
      const bodies = settlementsOf(overlap(), choice, "", ids());
      for (const body of bodies) expect(body.seen).toEqual(seen);
      const positions = bodies.flatMap((body) =>
        "stretch" in body ? Array.from({ length: body.stretch.last - body.stretch.first + 1 }, (_, n) => body.stretch.first + n) : [],
      );
      expect(positions).toEqual(Array.from({ length: 11 }, (_, n) => 10 + n));
    }
  });

  it("a split is two settlements with an id each; the second crew begins where it was said", () => {
    const bodies = settlementsOf(overlap(), everything[2] as Choice, " asked both ", ids());
    const common = { season_id: "s", block_id: "b", row: 3 };
    expect(bodies).toEqual([
      { id: "id1", stretch: { ...common, first: 10, last: 14, credited_crew_id: "h" }, seen, note: "asked both" },
      { id: "id2", stretch: { ...common, first: 15, last: 20, credited_crew_id: "t" }, seen, note: "asked both" },
    ]);
    expect(creditsOf(overlap(), { how: "nobody" })).toEqual([{ first: 10, last: 20, crewId: null }]);
  });

  it("can be split so that each part has a position; one position cannot be split", () => {
    expect(splitLimits({ first: 10, last: 20 })).toEqual({ first: 11, last: 20 });
    expect(splitLimits({ first: 7, last: 7 })).toBeNull();
  });
});

describe("a record set aside", () => {
  const version = (part: Partial<Version>): Version => ({
    content_hash: "x", reason_code: "other_content", reason: "", can_count: true, block_id: "b", row: 1,
    first: 1, last: 9, crew_id: "h", day: "2026-11-25", server_at: "2026-11-25T09:00:00Z", ...part,
  });

  it("speaks of a stretch, of the one tree of a check or a count, or of no position", () => {
    expect(positionsIn(version({}))).toEqual({ first: 1, last: 9 });
    const { first: _first, last: _last, ...ofTree } = version({ position: 31 });
    expect(positionsIn(ofTree)).toEqual({ first: 31, last: 31 });
    expect(positionsIn(version({ first: null, last: null }))).toBeNull();
  });

  it("tells which parts differ between its versions", () => {
    expect([...differing([version({}), version({ last: 12, crew_id: "t" })])].sort()).toEqual(["crew_id", "last"]);
    expect(differing([version({})]).size).toBe(0);
  });

  it("is settled for one version or for none, and names all that were looked at", () => {
    const record = { kind: "mark", id: "m", versions: [version({ content_hash: "z" }), version({ content_hash: "a" })] } as const;
    expect(recordSettlement(record, "z", "", "id")).toEqual({
      id: "id", record: { kind: "mark", id: "m", content_hash: "z", reason_code: "other_content" }, seen: ["a", "z"], note: "",
    });
    expect(recordSettlement(record, null, "", "id")).toMatchObject({ record: { content_hash: null } });
  });

  it("says what to do when it cannot count, for a reason it knows and for one it does not", () => {
    expect(SETTLING.cannotCount("unknown_row")).toMatch(/no such row/);
    expect(SETTLING.cannotCount("some_later_code")).toMatch(/Ask who made it/);
  });
});

it("of crew-days entered twice one stands, and each of the others is left out", () => {
  const entry = (id: string) => ({
    id, content_hash: `hash-${id}`, people: 6, hours: 7, recorder_id: null, device_id: null, server_at: "2026-11-25T17:00:00Z",
  });
  const matter: CrewDayMatter = { crew_id: "h", day: "2026-11-25", method: "ladder", entries: ["a", "b", "c"].map(entry) };
  expect(standingSettlements(matter, "b", "", ids())).toEqual(
    ["a", "c"].map((id, n) => ({
      id: `id${n + 1}`, record: { kind: "crew_day", id, content_hash: null, reason_code: null }, seen: [`hash-${id}`], note: "",
    })),
  );
});

it("counts are said with their words, and nothing is said of what is not there", () => {
  expect(SETTLING.counts(1, 2, 0)).toBe("1 overlap, 2 records set aside");
  expect(SETTLING.counts(0, 0, 0)).toBe("");
});
