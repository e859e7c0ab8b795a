import { describe, expect, it } from "vitest";
import type { BlockSummary } from "../../src/core/contracts";
import type { FullLot, LotTree } from "../../src/core/quality-contracts";
import {
  asWalked, crewOfArea, daysLater, failedKeys, failedRecheck, isBegun, isOver, isPartSent, judgedApart, lotsByState, returnsInOrder, wanting, wantsReturn,
} from "../../src/core/quality-lots";
import { LOTS } from "../../src/core/quality-wording";
import { changedChecks, isOfChecks, typedSetting } from "../../src/core/quality-settings";
import type { Notice } from "../../src/core/timing";
import { lookedAt } from "../../src/screens/overview/needs-you";
import { needsOf, qualityNeeds } from "../../src/screens/overview/quality-needs";
import { noticesOf } from "../../src/screens/overview/weather-needs";
import { areaOf, lotOf, returnOf } from "../support/quality-samples";

const sent = { is_decided: true, verdict: "send_back" } as const;
const back = { ...sent, not_sent_back: 420 };

describe("the list of lots", () => {
  it("has every lot once: what is to be done with the oldest first, decided and cancelled ones with the newest first", () => {
    const lots = [
      lotOf({ id: "a", number: 4 }), lotOf({ id: "b", number: 2 }), lotOf({ id: "c", number: 1, ...back }), lotOf({ id: "f", number: 6, ...sent, returns: ["r"] }),
      lotOf({ id: "d", number: 3, is_decided: true, verdict: "accepted" }), lotOf({ id: "e", number: 5, ...back, cancelled: "wrong day" }),
    ];
    const { back: toSend, open, decided, cancelled } = lotsByState(lots);
    expect([toSend, open, decided, cancelled].map((some) => some.map(({ id }) => id))).toEqual([["c"], ["b", "a"], ["f", "d"], ["e"]]);
  });

  it("tells of drawn trees that nobody judged, and whether the verdict hangs on them", () => {
    const of = (trees: number[], hangs_on_words = false): string =>
      LOTS.notJudged(lotOf({ not_judged: trees.map((n) => ({ reason: "unreachable", words: "", trees: n })), hangs_on_words }));
    expect([of([]), of([1]), of([2, 1], true)]).toEqual(["", "1 drawn tree was not judged.", "3 drawn trees were not judged. The verdict hangs on that."]);
  });

  it("asks for a return as long as trees of a lot that was sent back are in none", () => {
    expect(wantsReturn(lotOf(back))).toBe(true);
    expect(isPartSent(lotOf(back))).toBe(false);
    // two rows of twenty were sent back: the others are asked for, whatever returns there are
    const part = lotOf({ ...sent, not_sent_back: 378, returns: ["r1"] });
    expect([wantsReturn(part), isPartSent(part)]).toEqual([true, true]);
    // a return made of a weak area or of another lot will do
    expect(wantsReturn(lotOf({ ...sent, returns: [] }))).toBe(false);
    expect(wantsReturn(lotOf({ ...sent, returns: ["r1"] }))).toBe(false);
    expect(wantsReturn(lotOf({ ...back, cancelled: "wrong day" }))).toBe(false);
    // a verdict that more checks can still turn is none
    expect(wantsReturn(lotOf({ verdict: "send_back", is_decided: false }))).toBe(false);
    expect(wantsReturn(lotOf({ is_decided: true, verdict: "accepted" }))).toBe(false);
  });

  it("counts as looked at from the first tree on, at a second look too", () => {
    const tree = (checks: Partial<LotTree>): LotTree => ({ number: 1, row: 1, position: 1, is_extra: false, check: null, second: null, ...checks });
    const check = {} as NonNullable<LotTree["check"]>;
    expect([{}, { check }, { second: check }].map((checks) => isBegun({ trees: [tree({}), tree(checks)] }))).toEqual([false, true, true]);
  });

  it("lists what wants a lot by crew where the service says so, else by block", () => {
    const block = (id: string, code: string, uninspected?: number) => ({ id, code, ...(uninspected === undefined ? {} : { uninspected }) }) as BlockSummary;
    const farm = { season_id: "s", lots: [], memory: [] };
    const blocks = [block("b10", "K10", 30), block("b2", "K2", 12), block("b3", "K3", 0), block("b4", "K4")];
    expect(wanting(farm, blocks).map((one) => [one.block_code, one.crew_id, one.trees])).toEqual([["K10", null, 30], ["K2", null, 12]]);
    const one = { block_id: "b2", block_code: "K2", crew_id: "c", crew: "North crew", trees: 5 };
    expect(wanting({ ...farm, wanting: [one, { ...one, crew: "South crew", trees: 7 }] }, blocks).map(({ crew }) => crew)).toEqual(["South crew", "North crew"]);
  });
});

describe("one lot", () => {
  it("has its trees in walking order, and those that no walk names behind them", () => {
    const tree = (number: number, row: number, position: number): LotTree => ({ number, row, position, is_extra: false, check: null, second: null });
    const trees = [tree(1, 9, 1), tree(2, 1, 5), tree(3, 2, 8), tree(4, 1, 2)];
    const walk: [number, number][] = [[1, 2], [1, 5], [2, 8]];
    expect(asWalked({ trees, walk }).map(({ number }) => number)).toEqual([4, 2, 3, 1]);
  });

  it("begins a return with the points that failed on any tree", () => {
    const point = (key: string, failed: number) => ({ key, sentence: key, class: "major" as const, checked: 20, failed });
    expect(failedKeys({ points: [point("a", 4), point("b", 0), point("c", 1)] } as Pick<FullLot, "points">)).toEqual(["a", "c"]);
  });
});

describe("the list of returns", () => {
  it("has late ones first, then those to answer, then the open ones by day, and what is over last", () => {
    const returns = [
      returnOf({ id: "done", state: "confirmed" }), returnOf({ id: "late", is_late: true, due_on: "2026-01-02" }),
      returnOf({ id: "soon", due_on: "2026-01-13" }), returnOf({ id: "later", due_on: "2026-02-01" }),
      returnOf({ id: "redone", state: "redone" }), returnOf({ id: "failed", state: "failed" }), returnOf({ id: "off", state: "cancelled" }),
    ];
    expect(returnsInOrder(returns).map(({ id }) => id)).toEqual(["late", "failed", "redone", "soon", "later", "done", "off"]);
    expect(returns.filter((one) => isOver(one, [lotOf({ ...back, return_id: "failed" })])).map(({ id }) => id)).toEqual(["done", "off"]);
  });

  it("leads from a return that failed to the recheck that sent it back, until that has a return itself", () => {
    const failed = returnOf({ state: "failed" });
    const recheck = lotOf({ id: "again", number: 9, return_id: "r1", ...back });
    expect(failedRecheck(failed, [lotOf(back), recheck])?.id).toBe("again");
    expect(failedRecheck(failed, [{ ...recheck, not_sent_back: 0 }])).toBeNull();
    expect(isOver(failed, [recheck])).toBe(false);
    expect(isOver(failed, [{ ...recheck, not_sent_back: 0 }])).toBe(true);
    expect(failedRecheck(returnOf(), [recheck])).toBeNull();
  });
});

describe("blocks that were checked before there were lots", () => {
  it("are told apart from those with lots and from those without any drawn tree; a cancelled lot judges nothing", () => {
    const blocks = [{ id: "old", drawn: 20 }, { id: "new", drawn: 20 }, { id: "bare", drawn: 0 }, { id: "taken back", drawn: 8 }];
    const lots = [lotOf({ block_id: "new" }), lotOf({ block_id: "taken back", cancelled: "drawn twice" })];
    expect(judgedApart(blocks, lots).map(({ id }) => id)).toEqual(["old", "taken back"]);
  });
});

describe("weak areas", () => {
  it("are offered to the crew with the most faulty trees there", () => {
    const crew = (crew_id: string, faulty: number, checked: number) => ({ crew_id, crew: crew_id, faulty, checked });
    expect(crewOfArea(areaOf({ crews: [crew("a", 1, 9), crew("b", 4, 5)] }))).toBe("b");
    expect(crewOfArea(areaOf())).toBeNull();
  });
});

it("a day so many days later goes over months and leap days", () => {
  expect(daysLater("2026-01-30", 3)).toBe("2026-02-02");
  expect(daysLater("2028-02-28", 1)).toBe("2028-02-29");
});

describe("what quality asks of a manager today", () => {
  const overview = (blocks: object[]) => ({ blocks }) as never;
  const farm = { season_id: "s", memory: [] };

  it("is one line for each kind of thing, each with the way to its cure", () => {
    const lots = [lotOf(back), lotOf({ id: "done", number: 2, ...sent, returns: ["r1"] })];
    const returns = [returnOf({ is_late: true }), returnOf({ id: "r2", number: 2, state: "redone", is_late: true }), returnOf({ id: "r3", state: "confirmed" })];
    const needs = needsOf(overview([{ id: "b1", code: "K2", verdict: "send_back", weak: 2 }]), { ...farm, lots }, returns);
    expect(needs.map(({ to }) => to.map((way) => way.to))).toEqual([
      [{ screen: "quality", block: null, lot: "lot-1" }],
      [{ screen: "quality", block: "b1", part: "returns" }],
      [{ screen: "quality", block: "b1", part: "new-lot", recheck: "r2" }],
      [{ screen: "quality", block: "b1", part: "weak" }],
    ]);
    expect(needs[0]?.text).toContain("1 lot");
    expect(needs[3]?.text).toContain("2 weak areas");
  });

  it("keeps a block that was judged without lots, and says nothing where nothing waits", () => {
    const blocks = [{ id: "b1", code: "K2", verdict: "send_back" }, { id: "b2", code: "K3", verdict: "send_back" }];
    const needs = needsOf(overview(blocks), { ...farm, lots: [lotOf({ block_id: "b2" })] }, []);
    expect(needs.map(({ to }) => to)).toEqual([[{ text: "K2", to: { screen: "checks", block: "b1" } }]]);
    expect(needsOf(overview([{ id: "b1", code: "K2", verdict: "accepted" }]), { ...farm, lots: [] }, [])).toEqual([]);
    const wanting = [120, 108].map((trees) => ({ block_id: "b1", block_code: "K2", crew_id: null, crew: "", trees }));
    const [unlooked] = needsOf(overview([{ id: "b1", code: "K2", verdict: "accepted" }]), { ...farm, lots: [], wanting }, []);
    expect(unlooked?.text).toContain("228 pruned trees are in no lot");
    expect(unlooked?.to.map(({ to }) => to)).toEqual([{ screen: "quality", block: null, part: "new-lot" }]);
  });
});

describe("what waits, of one crew or variety alone", () => {
  const block = { id: "b3", code: "R3", verdict: "send_back", variety: "Red" };
  const farm = { season_id: "s", memory: [] };
  const lots = [lotOf({ block_id: "b3", block_code: "R3", crew_id: "stoat", ...sent, returns: ["r1"] })];
  const returns = [returnOf({ block_id: "b3", block_code: "R3", crew_id: "stoat", state: "redone" })];

  it("turns no item of others into another one: each line told of a part is told of the whole too", async () => {
    const asked = { "/farms/f/lots": { ...farm, lots }, "/farms/f/returns": { returns } } as Record<string, unknown>;
    const request = async (path: string): Promise<unknown> => asked[path.split("?")[0] ?? ""] ?? Promise.reject(new Error(path));
    const context = { request, farm: { id: "f", today: "2026-11-27" } } as never;
    const needs = (crew: string | null, variety: string | null = null) =>
      qualityNeeds(lookedAt({ day: "2026-11-27", blocks: [block], figures: {}, own: null } as never, { crew, variety }, [block] as never), context);
    const whole = await needs(null);
    expect(whole.map(({ text }) => text)).toEqual(["1 return was gone over again. Draw its recheck."]);
    expect(await needs("stoat")).toEqual(whole);
    expect(await needs("finch")).toEqual([]);
    expect(await needs(null, "Red")).toEqual(whole);
    expect(await needs("finch", "Red")).toEqual([]);
  });

  it("of a day that is over says how blocks stood, and gives no instruction", async () => {
    const context = { request: () => Promise.reject(new Error("asked")), farm: { id: "f", today: "2026-11-27" } } as never;
    const [need] = await qualityNeeds(lookedAt({ day: "2026-11-20", blocks: [block], figures: {}, own: null } as never, { crew: null, variety: null }, []), context);
    expect([need?.text, need?.to.map(({ text }) => text)]).toEqual(["1 block was to be sent back by then.", ["R3"]]);
  });

  it("of weather names the blocks that are looked at, and leaves out what is of others only", () => {
    const notice = (kind: string, ...ids: string[]) => ({ kind, asks_today: true, blocks: ids.map((id) => ({ id, code: id })) }) as unknown as Notice;
    const notices = [notice("wet_cuts", "a", "b", "c"), notice("frost_on_cuts", "c"), notice("frost_ahead"), { ...notice("order", "a"), asks_today: false }];
    const told = (...ids: string[]) =>
      noticesOf(notices, { crew: null, isWhole: false, blocks: ids.map((id) => ({ id })) } as never).map(({ kind, blocks }) => [kind, blocks.map(({ id }) => id)]);
    expect(told("a", "b")).toEqual([["wet_cuts", ["a", "b"]], ["frost_ahead", []]]);
    expect(told("c")).toEqual([["wet_cuts", ["c"]], ["frost_on_cuts", ["c"]], ["frost_ahead", []]]);
  });
});

describe("settings of the plan", () => {
  const number = { name: "check_p1_percent", value: 5, default: 5, unit: "%", low: 0.1, high: 50, is_whole: false, source: "" };
  const choice = { name: "check_level", value: "I", default: "I", unit: "", choices: ["I", "II"], source: "" };
  const step = { name: "check_aql", value: 4, default: 4, unit: "%", choices: [2.5, 4], source: "" };
  const texts = (...said: [string, string][]) => new Map(said);

  it("tell what is changed, a chosen number as a number, and nothing that stays", () => {
    const said = texts(["check_p1_percent", "5"], ["check_level", "II"], ["check_aql", "2.5"]);
    expect(changedChecks([number, choice, step], said)).toEqual({ check_level: "II", check_aql: 2.5 });
    expect(changedChecks([number], texts(["check_p1_percent", "7,5"]))).toEqual({ check_p1_percent: 7.5 });
  });

  it("refuse as a whole what one field cannot be", () => {
    expect(changedChecks([number, choice], texts(["check_p1_percent", "70"], ["check_level", "II"]))).toBeNull();
    expect(changedChecks([choice], texts(["check_level", "IV"]))).toBeNull();
    expect(typedSetting({ ...number, is_whole: true }, "2.5")).toBeNull();
  });

  it("are those of checks and weak areas alone", () => {
    expect(["check_level", "weak_area_level_percent", "line_base_m", "count_confidence_percent"].filter((name) => isOfChecks({ name }))).toEqual(["check_level", "weak_area_level_percent"]);
  });
});
