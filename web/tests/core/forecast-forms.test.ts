import { describe, expect, it } from "vitest";
import { heldUpBy, standingOf } from "../../src/core/block-finish";
import { refusedBy, standingCrewDays, stillWithoutHours } from "../../src/core/crew-day-list";
import { laidOver, oddSpans } from "../../src/core/crew-spans";
import type { SeasonCalendar, ToldCrewDay } from "../../src/core/forecast-contracts";
import { randomOf } from "./seeded";
import { daysAWeek, seasonMonths, typedCalendar, weekdayNames, withWeekday, type TypedCalendar } from "../../src/core/working-calendar";

const KEPT: SeasonCalendar = {
  season_id: "s", weekdays: "1111100", hours_per_day: 8, days_off: [], lost_percent: Array.from({ length: 12 }, () => 10),
  expected_pace: null, respects_daylight: true, is_set: false,
};
const TYPED: TypedCalendar = {
  weekdays: "1111110", hours: "7,5", pace: " 11.2 ", daylight: false, lost: new Map([[0, "25"]]), daysOff: [{ day: "2026-01-06", name: "Epiphany" }, { day: "", name: " " }],
};

describe("the calendar", () => {
  it("takes over what is typed, keeps the months that are not asked, and leaves an empty line of days off aside", () => {
    expect(typedCalendar(KEPT, TYPED)).toEqual({
      calendar: {
        season_id: "s", weekdays: "1111110", hours_per_day: 7.5, days_off: [{ day: "2026-01-06", name: "Epiphany" }],
        lost_percent: [25, ...KEPT.lost_percent.slice(1)], expected_pace: 11.2, respects_daylight: false,
      },
    });
  });

  it.each<[string, Partial<TypedCalendar>, string]>([
    ["no day of the week", { weekdays: "0000000" }, "weekdays"],
    ["no hours", { hours: "0" }, "hours"],
    ["a day of 25 hours", { hours: "25" }, "hours"],
    ["a pace that is a word", { pace: "eleven" }, "pace"],
    ["a thousand that might be one", { pace: "1,000" }, "pace"],
    ["a month that is lost whole", { lost: new Map([[1, "100"]]) }, "lost-1"],
    ["a name without its day", { daysOff: [{ day: "", name: "Carnival" }] }, "days_off"],
    ["a day off twice", { daysOff: [{ day: "2026-01-06", name: "" }, { day: "2026-01-06", name: "Epiphany" }] }, "days_off"],
  ])("is not saved with %s, and says where", (_what, typed, field) => {
    expect(typedCalendar(KEPT, { ...TYPED, ...typed })).toEqual({ wrong: [field] });
  });

  it("without a pace is one without an expected pace: nothing is made up", () => {
    expect(typedCalendar(KEPT, { ...TYPED, pace: "" })).toMatchObject({ calendar: { expected_pace: null } });
  });

  it("asks for the months of the season and the one after, over the turn of the year, never one twice", () => {
    expect(seasonMonths("2025-11-10", "2026-03-20")).toEqual([10, 11, 0, 1, 2, 3]);
    expect(seasonMonths("2026-01-01", "2026-01-20")).toEqual([0, 1]);
    expect(seasonMonths("2024-09-01", "2027-03-20")).toHaveLength(12);
  });

  it("names the days of the week from Monday on, as the calendar's signs stand", () => {
    expect(weekdayNames()).toEqual(["Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"]);
    expect(withWeekday("1111100", 5, true)).toBe("1111110");
    expect(daysAWeek("1111110")).toBe(6);
  });
});

it("spans of people: one that ends before it begins and half a person are told, each where it is mended", () => {
  const span = (first: string, last: string | null, people = 6, crew_id = "a") => ({ crew_id, first, last, people });
  expect(oddSpans([span("2026-01-02", "2026-01-09"), span("2026-01-10", "2026-01-10", 0), span("2026-01-05", "2026-02-01", 3, "b")])).toEqual([null, null, null]);
  expect(oddSpans([span("2026-01-02", null), span("", null), span("2026-01-02", "")])).toEqual([null, "days", "days"]);
  expect(oddSpans([span("2026-01-09", "2026-01-02"), span("", "2026-01-02"), span("2026-02-01", "2026-02-02", 1.5), span("2026-02-01", "2026-02-02", NaN)])).toEqual(["days", "days", "people", "people"]);
});

it("spans of one crew that meet are laid over each other: on each day the later in the list holds, and none of them meet any more", () => {
  const random = randomOf(7);
  const day = (n: number): string => new Date(Date.UTC(2026, 0, 26 + n)).toISOString().slice(0, 10); // over the end of a month
  for (let round = 0; round < 200; round += 1) {
    const spans = Array.from({ length: 1 + Math.floor(random() * 5) }, (_, at) => {
      const first = Math.floor(random() * 10);
      const last = random() < 0.3 ? null : day(first + Math.floor(random() * 6));
      return { crew_id: random() < 0.7 ? "a" : "b", first: day(first), last, people: at };
    });
    const laid = laidOver(spans);
    for (let n = -1; n < 17; n += 1) {
      for (const crew of ["a", "b"]) {
        const on = (all: typeof spans): number[] => all.flatMap((one) => (one.crew_id === crew && one.first <= day(n) && (one.last === null || day(n) <= one.last) ? [one.people] : []));
        expect(on(laid)).toEqual(on(spans).slice(-1));
      }
    }
  }
});

it("crew-days: only what stands of the season, the latest first; a day without hours is told until it has some", () => {
  const one = (id: string, day: string, more: Partial<ToldCrewDay> = {}): ToldCrewDay => ({
    id, day, season_id: "s", crew_id: "a", people: 6, hours: 8, method: "ladder", standing: true, set_aside: null, ...more,
  });
  const standing = standingCrewDays([one("1", "2026-01-12"), one("2", "2026-01-13", { standing: false }), one("3", "2026-01-14"), one("4", "2026-01-14", { season_id: "old" })], "s");
  expect(standing.map(({ id }) => id)).toEqual(["3", "1"]);
  const told = [{ crew_id: "a", day: "2026-01-12", trees: 400 }, { crew_id: "b", day: "2026-01-12", trees: 300 }, { crew_id: "a", day: "2026-01-13", trees: 410 }];
  expect(stillWithoutHours(told, standing).map(({ crew_id, day }) => `${day} ${crew_id}`)).toEqual(["2026-01-13 a", "2026-01-12 b"]);
});

it("a crew-day is entered once for each method, and a correction that corrects nothing is none", () => {
  const one: ToldCrewDay = { id: "1", day: "2026-01-12", season_id: "s", crew_id: "a", people: 6, hours: 8, method: "ladder", standing: true, set_aside: null };
  const entered = { people: 6, hours: 8, method: "ladder" } as const;
  expect(refusedBy([one], one, entered, null)).toBe("twice");
  expect(refusedBy([one], { crew_id: "b", day: one.day }, entered, null)).toBeNull();
  expect(refusedBy([one], one, { ...entered, method: "platform" }, null)).toBeNull();
  expect(refusedBy([one], one, entered, one)).toBe("same");
  expect(refusedBy([one], one, { ...entered, hours: 7.5 }, one)).toBeNull();
  const platform: ToldCrewDay = { ...one, id: "2", method: "platform" };
  expect(refusedBy([one, platform], one, { ...entered, method: "platform" }, one)).toBe("twice");
});

it("a block is late where it is likely to be, perhaps late where 9 in 10 are; never is late", () => {
  const must = "2026-03-20";
  expect(standingOf({ p50: must, p90: must }, must)).toBe("in_time");
  expect(standingOf({ p50: must, p90: "2026-03-21" }, must)).toBe("may_be_late");
  expect(standingOf({ p50: must, p90: null }, must)).toBe("may_be_late");
  expect(standingOf({ p50: "2026-03-21", p90: null }, must)).toBe("late");
  expect(standingOf({ p50: null, p90: null }, must)).toBe("late");
  // its own day goes before the season's
  expect(standingOf({ p50: must, p90: must, must_finish_on: "2026-02-01" }, must)).toBe("late");
});

it("what holds a season up is named from its end, and what is in time is not", () => {
  const block = (block_id: string, p50: string | null, p90: string | null) => ({ block_id, crew_id: null, p10: null, p50, p90, chance: 0.5 });
  const found = heldUpBy([block("a", "2026-03-10", "2026-03-12"), block("b", "2026-03-19", "2026-03-25"), block("c", null, null), block("d", "2026-03-20", "2026-03-26")], "2026-03-20");
  expect(found.map(({ block_id }) => block_id)).toEqual(["c", "d", "b"]);
});
