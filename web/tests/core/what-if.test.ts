import { describe, expect, it } from "vitest";
import type { Case, CaseFinish } from "../../src/core/forecast-contracts";
import { lessTimeOf, offers, otherSaturdays, ratioOf, reckonedBy, tidy, usualPeople, type Standing } from "../../src/core/what-if";
import { caseWords } from "../../src/core/what-if-wording";

const STANDING: Standing = {
  crews: [
    { id: "n", name: "North", method: "ladder" },
    { id: "s", name: "South", method: "platform" },
    { id: "away", name: "Away", method: "ladder" },
  ],
  calendar: { weekdays: "1111100", hours_per_day: 8 },
  people: new Map([["n", 6], ["s", 9]]),
};

describe("cases that are offered", () => {
  it("37 % less time is 1.587 times as much in an hour, not 1.37 (checks/trade.md, R10), and comes back as 37 %", () => {
    expect(ratioOf(37)).toBeCloseTo(1.587, 3);
    expect(ratioOf(47)).toBeCloseTo(1.887, 3);
    expect(lessTimeOf(ratioOf(37))).toBe(37);
    expect(lessTimeOf(ratioOf(12.5))).toBe(12.5);
  });

  it("change what there is: crews with people, those on ladders, a week's working days", () => {
    expect(Object.fromEntries(offers(STANDING))).toEqual({
      person_more: { people: { n: 1, s: 1 } },
      crew_more: { crews: [{ people: 6 }] },
      saturdays: { weekdays: "1111110" },
      hour_more: { hours_per_day: 9 },
      platform: { methods: { n: "platform", away: "platform" }, ratios: { platform: ratioOf(37) } },
      week_of_rain: { lost_days: 5 },
    });
  });

  it("leave out what changes nothing: Saturdays that are worked, a platform for those who stand on one, a day of 24 hours", () => {
    const worked = { ...STANDING, calendar: { weekdays: "1111110", hours_per_day: 24 }, crews: STANDING.crews.slice(1, 2), people: new Map() };
    expect(offers(worked)).toEqual([["crew_more", { crews: [{ people: 6 }] }], ["week_of_rain", { lost_days: 6 }]]);
    expect(otherSaturdays(worked.calendar)).toEqual({ weekdays: "1111100" });
    expect(otherSaturdays(STANDING.calendar)).toEqual({ weekdays: "1111110" });
    expect(usualPeople(new Map([["a", 0], ["b", 3], ["c", 5], ["d", 12]]))).toBe(5);
  });

  it("are said in words, each change once", () => {
    const words = (one: Case): string => caseWords(one, STANDING);
    expect(offers(STANDING).map(([, one]) => words(one))).toEqual([
      "Each crew 1 person more",
      "1 crew more of 6 people",
      "Saturdays worked",
      "9 hours a day",
      "North, Away on a platform, 37 % less time",
      "The next 5 working days lost",
    ]);
    expect(words({ people: { n: -2 }, weekdays: "0111110" })).toBe("North fewer: 2 people; Monday free; Saturdays worked");
  });
});

it("a case without what changes nothing is the same as one that never said it", () => {
  const { calendar } = STANDING;
  expect(tidy({ people: { n: 0 }, crews: [], weekdays: "1111100", hours_per_day: 8, lost_days: 0, methods: {}, ratios: { platform: 2 } }, calendar)).toEqual({});
  const whole: Case = { people: { n: 1 }, crews: [{ people: 4 }], weekdays: "1111110", hours_per_day: 7.5, lost_days: 2, methods: { n: "platform" }, ratios: { platform: 1.5 } };
  expect(tidy(whole, calendar)).toEqual(whole);
});

describe("what was reckoned", () => {
  const told = (chance: number): CaseFinish => ({ finish: { p10: null, p50: null, p90: null }, chance, short_people: 0, sure_by: null });

  it("is asked for once, all that is not known in one request; how things stand comes with it", async () => {
    const asked: [Case[], number][] = [];
    const reckoned = reckonedBy(async (cases, certainty) => {
      asked.push([cases, certainty]);
      return { missing: [], now: told(0.5), cases: cases.map(({ lost_days = 0 }) => told(lost_days / 100)) };
    });
    expect(reckoned.of({}, 0.9)).toBeNull();
    await reckoned.need([{}, { lost_days: 5 }, { lost_days: 5 }], 0.9);
    await reckoned.need([{}, { lost_days: 5 }, { lost_days: 7 }], 0.9);
    await reckoned.need([{}, { lost_days: 7 }], 0.9);
    expect(asked).toEqual([[[{ lost_days: 5 }], 0.9], [[{ lost_days: 7 }], 0.9]]);
    expect([{}, { lost_days: 5 }, { lost_days: 7 }].map((one) => reckoned.of(one, 0.9)?.chance)).toEqual([0.5, 0.05, 0.07]);
    expect(reckoned.of({}, 0.8)).toBeNull(); // how many people are short hangs on how sure it is to be
  });

  it("is not asked for while it comes, and one that fails takes no other with it", async () => {
    const asked: Case[][] = [];
    const answer = new Map<string, () => void>();
    const reckoned = reckonedBy(async (cases) => {
      asked.push(cases);
      await new Promise<void>((resolve) => answer.set(JSON.stringify(cases), resolve));
      if (cases.some(({ hours_per_day }) => hours_per_day === 99)) throw new Error("no day has 99 hours");
      return { missing: [], now: told(0.5), cases: cases.map(() => told(0.6)) };
    });
    const first = reckoned.need([{}, { lost_days: 5 }], 0.9);
    const second = reckoned.need([{}, { lost_days: 5 }, { hours_per_day: 99 }], 0.9);
    expect(asked).toEqual([[{ lost_days: 5 }], [{ hours_per_day: 99 }]]);
    answer.get(JSON.stringify(asked[1]))?.();
    answer.get(JSON.stringify(asked[0]))?.();
    await first;
    await expect(second).rejects.toThrow("99 hours");
    expect([reckoned.of({ lost_days: 5 }, 0.9)?.chance, reckoned.of({ hours_per_day: 99 }, 0.9)]).toEqual([0.6, null]);
  });

  it("stays unknown where the service did not answer, and is asked for again", async () => {
    let fails = true;
    const reckoned = reckonedBy(async () => {
      if (fails) throw new Error("gone");
      return { missing: [], now: told(0.5), cases: [] };
    });
    await expect(reckoned.need([{}], 0.9)).rejects.toThrow("gone");
    fails = false;
    await reckoned.need([{}], 0.9);
    expect(reckoned.of({}, 0.9)?.chance).toBe(0.5);
  });
});
