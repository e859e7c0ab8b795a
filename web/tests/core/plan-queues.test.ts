import { describe, expect, it } from "vitest";
import { boardWidth, changesOf, firstDay, isLate, lastDay, moved, onBoard, spansOf, spanStanding, toldSpans, weeksOf, whereIs, wished, type PlanBlock, type PlanBoard } from "../../src/core/plan-queues";
import { randomOf } from "./seeded";

const DAYS = ["2026-01-22", "2026-01-23", "2026-01-26", "2026-01-27", "2026-01-28", "2026-01-29", "2026-01-30", "2026-02-02"];
const block = (left: number, more: Partial<PlanBlock> = {}): PlanBlock => ({
  left, habit: "spur", is_biennial: false, must_finish_on: "2026-01-28", own_must_finish_on: null, platform_fits: null, closed: [], worked: null, ...more,
});
/** Ash prunes 100 trees a day, Birch 50. */
const crew = (crew_id: string, people: number) => ({ crew_id, people, method: "ladder" as const, hours_per_day: 5, paces: { spur: 10 } });
const board = (more: Partial<PlanBoard> = {}): PlanBoard => ({
  season_id: "s", cursor: 1, revision: 3, own_first: true, must_finish_on: "2026-01-28", days: DAYS,
  queues: [{ crew_id: "ash", blocks: ["a", "b"] }, { crew_id: "birch", blocks: ["c"] }],
  open: ["d"],
  crews: [crew("ash", 2), crew("birch", 1)],
  blocks: { a: block(150), b: block(100), c: block(75), d: block(10) },
  ...more,
});

describe("a block that is moved", () => {
  it("stands where it was put and nowhere else, and all others keep their order", () => {
    const random = randomOf(7);
    let plan = board();
    for (let step = 0; step < 300; step += 1) {
      const id = ["a", "b", "c", "d"][Math.floor(random() * 4)] ?? "a";
      const to = { crew: ["ash", "birch", null][Math.floor(random() * 3)] ?? null, at: Math.floor(random() * 6) - 1 };
      const before = plan;
      plan = moved(plan, id, to);
      const all = [...plan.queues.flatMap(({ blocks }) => blocks), ...plan.open];
      expect([...all].sort()).toEqual(["a", "b", "c", "d"]);
      const there = whereIs(plan, id);
      expect(there?.crew).toBe(to.crew);
      const rest = (of: PlanBoard) => [...of.queues.map(({ blocks }) => blocks), of.open].map((blocks) => blocks.filter((one) => one !== id));
      expect(rest(plan)).toEqual(rest(before));
    }
  });
  it("goes back by being put where it was", () => {
    const plan = board();
    expect(moved(moved(plan, "a", { crew: "birch", at: 0 }), "a", { crew: "ash", at: 0 })).toEqual(plan);
  });
});

describe("when blocks are worked", () => {
  it("one after the other, as long as the crew's people and pace say", () => {
    expect(spansOf(board(), "ash", ["a", "b"])).toEqual([{ block: "a", from: 0, to: 1.5 }, { block: "b", from: 1.5, to: 2.5 }]);
    expect(spansOf(board(), "birch", ["c"])).toEqual([{ block: "c", from: 0, to: 1.5 }]);
  });
  it("none is begun while it is closed; a weekend in between is no working day", () => {
    const shut = board({ blocks: { a: block(50, { closed: [["2026-01-20", "2026-01-25"]] }), b: block(50) } });
    const [a, b] = spansOf(shut, "ash", ["a", "b"]);
    expect(a).toEqual({ block: "a", from: 2, to: 2.5 });
    expect(b?.from).toBe(2.5);
    expect(a && firstDay(DAYS, a)).toBe("2026-01-26");
  });
  it("a day that is full ends on that day, and the next block begins on the next", () => {
    const spans = spansOf(board({ blocks: { a: block(200), b: block(100) } }), "ash", ["a", "b"]);
    expect(spans.map((span) => [firstDay(DAYS, span), lastDay(DAYS, span)])).toEqual([["2026-01-22", "2026-01-23"], ["2026-01-26", "2026-01-26"]]);
  });
  it("late is what is done after its own day, or beyond what is known", () => {
    const plan = board({ blocks: { a: block(500), b: block(100), c: block(75, { must_finish_on: "2026-01-22" }) } });
    const [a, b] = spansOf(plan, "ash", ["a", "b"]);
    const [c] = spansOf(plan, "birch", ["c"]);
    expect([a, b, c].map((span) => span && isLate(plan, span))).toEqual([false, true, true]);
    const [long] = spansOf(board({ blocks: { a: block(9_000) } }), "ash", ["a"]);
    expect(long && lastDay(DAYS, long)).toBeNull();
    expect(long && isLate(board(), long)).toBe(true);
  });
  it("a crew without people has no bar, and nothing divides by zero", () => {
    const none = board({ crews: [{ ...crew("ash", 2), people: 0 }] });
    expect(spansOf(none, "ash", ["a"])).toEqual([{ block: "a", from: 0, to: 0 }]);
  });
});

describe("bars by the forecast", () => {
  const finish = (p50: string | null, p90 = p50) => ({ p10: p50, p50, p90 });
  it("end on the day that the forecast calls likely, one behind the other, whatever the expected hours say", () => {
    const spans = toldSpans(board(), ["a", "b"], { a: finish("2026-01-26"), b: finish("2026-01-29") });
    expect(spans?.map(({ block, from, to }) => ({ block, from, to }))).toEqual([{ block: "a", from: 0, to: 3 }, { block: "b", from: 3, to: 6 }]);
  });
  it("share a day on which several are done by their trees, and stand in the order in which they are done", () => {
    const spans = toldSpans(board(), ["a", "b", "c"], { a: finish("2026-01-23"), b: finish("2026-01-23"), c: finish("2026-01-22") }) ?? [];
    expect(spans.map(({ block }) => block)).toEqual(["c", "a", "b"]);
    expect(spans.map(({ to }) => to)).toEqual([1, 1.6, 2]);
  });
  it("begin once the block opens; nothing is told where the forecast does not know all of them", () => {
    const shut = board({ blocks: { a: block(50, { closed: [["2026-01-20", "2026-01-25"]] }) } });
    expect(toldSpans(shut, ["a"], { a: finish("2026-01-27") })?.[0]).toMatchObject({ from: 2, to: 4 });
    expect(toldSpans(board(), ["a", "b"], { a: finish("2026-01-27") })).toBeNull();
  });
  it("are late, or may be, against the block's own day; never done is late and reaches the last day known", () => {
    const [a, b, c] = toldSpans(board(), ["a", "b", "c"], { a: finish("2026-01-27", "2026-01-28"), b: finish("2026-01-28", "2026-01-29"), c: finish(null) }) ?? [];
    expect([a, b, c].map((span) => span && spanStanding(board(), span))).toEqual(["in_time", "may_be_late", "late"]);
    expect(c?.to).toBe(DAYS.length);
  });
});

it("the board reaches past the last block and the day that all must be done by, as far as days are known", () => {
  expect(boardWidth(board(), [])).toBe(6);
  expect(boardWidth(board(), [{ block: "a", from: 0, to: 6.2 }])).toBe(8);
  expect(boardWidth(board(), [{ block: "a", from: 0, to: 600 }])).toBe(DAYS.length);
});

it("a bar that would end beyond the board ends at its edge", () => {
  expect(onBoard({ from: 2, to: 600 }, 8)).toEqual({ from: 2, to: 8 });
  expect(onBoard({ from: 300, to: 600 }, 8)).toEqual({ from: 8, to: 8 });
  expect(onBoard({ from: 1, to: 3.5 }, 8)).toEqual({ from: 1, to: 3.5 });
});

it("weeks begin on their first working day", () => {
  expect(weeksOf(DAYS)).toEqual([{ at: 0, day: "2026-01-22" }, { at: 2, day: "2026-01-26" }, { at: 7, day: "2026-02-02" }]);
});

it("what would change is named with where it was and where it would be", () => {
  const after = moved(board(), "d", { crew: "birch", at: 0 });
  expect(changesOf(board(), after)).toEqual([
    { block: "d", from: null, to: "birch", was: 0, now: 0 },
    { block: "c", from: "birch", to: "birch", was: 0, now: 1 },
  ]);
  expect(changesOf(board(), board())).toEqual([]);
});

it("what somebody chose stays when the board is read anew: without what is done since, with what is new where it was given", () => {
  const mine = moved(board(), "a", { crew: "birch", at: 0 });
  const fresh = board({ revision: 4, blocks: { a: block(20), c: block(75), e: block(5) }, queues: [{ crew_id: "ash", blocks: ["e", "a"] }, { crew_id: "birch", blocks: ["c"] }], open: [] });
  expect(wished(fresh, mine)).toEqual({
    queues: [{ crew_id: "ash", blocks: ["e"] }, { crew_id: "birch", blocks: ["a", "c"] }],
    open: [], own_first: true, revision: 4,
  });
  const gone = { ...mine, queues: [{ crew_id: "oak", blocks: ["c"] }] };
  expect(wished(fresh, gone).open).toEqual(["c"]);
});
