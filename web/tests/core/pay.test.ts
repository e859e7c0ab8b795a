import { describe, expect, it } from "vitest";
import type { PayLine } from "../../src/core/pay-contracts";
import { PAY } from "../../src/core/pay-wording";
import { fractionOf, isNothing, moneyText, rateText, sumOf, typedMoney } from "../../src/core/pay-money";
import { draftOf, isAnythingWaiting, typedBefore, type CellText } from "../../src/core/pay-drafts";
import { gapsTogether, numberOfHead, peopleByCrew, usedColumns } from "../../src/core/pay-people";
import { rulesText, smallestCoin, typedRules, type RulesText } from "../../src/core/pay-rules";
import { changedHours, dayAfter, daysBetween, daysToPay, typedHours, typedMinutes, weekOf } from "../../src/core/pay-week";
import { daysBeside, keptDays, payAsked } from "../../src/core/pay-place";
import { addressOf, placeOf } from "../../src/core/place";

describe("money", () => {
  it("is added up to the last coin, where binary numbers would not", () => {
    expect(sumOf(["0.10", "0.20"])).toBe("0.30");
    expect(sumOf(["12.5", "-12.75", "0"])).toBe("-0.25");
    expect(sumOf(["90071992547409.93", "0.01"])).toBe("90071992547409.94");
    expect(sumOf([])).toBe("0");
    const cents = Array.from({ length: 1_000 }, () => "0.01");
    expect(sumOf(cents)).toBe("10.00");
  });

  it("is written with its own decimals and read with point or comma", () => {
    expect([moneyText("1234.50"), moneyText("-7.40"), moneyText("12")]).toEqual(["1,234.50", "\u22127.40", "12"]);
    expect([typedMoney("0,4375"), typedMoney(" 12 "), typedMoney("1,000.5"), typedMoney("-1"), typedMoney("")]).toEqual(["0.4375", "12", null, null, null]);
    // thousands of one language are decimals of another: neither twelve nor twelve thousand is guessed
    expect([typedMoney("12,000"), typedMoney("0,125"), typedMoney("12.125"), typedMoney("12.000", ","), typedMoney("12,000", ",")]).toEqual([null, "0.125", "12.125", null, "12.000"]);
    expect([isNothing("0.00"), isNothing("-0.01")]).toEqual([true, false]);
    expect(fractionOf("15/2")).toBe(7.5);
    // a rate stands beside others with the decimals of its money, and with more where it has them
    expect([rateText(0.8, "1.00"), rateText(0.4375, "1.00"), rateText(12, "7")]).toEqual(["0.80", "0.4375", "12"]);
  });
});

const line = (person_id: string, crew_id: string, amount: string, more: Partial<PayLine> = {}): PayLine => ({
  person_id, crew_id, amount, day: "2026-01-20", period: "day", kind: "trees", variety_id: null, method: null, is_return: false,
  hours: "8", rate: "1/2", crew_trees: 10, crew_hours: "8", crew_amount: "5.00", paid_before: null, ...more,
});

describe("the table of people", () => {
  const lines = [
    line("ana", "b", "3.00"),
    line("ana", "b", "1.25", { kind: "top_up" }),
    line("ben", "b", "-2.00", { kind: "top_up", paid_before: "2.00" }),
    line("ana", "a", "4.00"),
    line("a 2", "a", "0.50", { kind: "rest" }),
  ];
  const crews = peopleByCrew(lines, [{ crew_id: "b", person_id: "ana", hours: "7.5", rest_minutes: 0 }], (one, other) => one.localeCompare(other));

  it("holds every line once, crew by crew, a correction apart from what is paid for new days", () => {
    expect(crews.map(({ crew_id, total }) => [crew_id, total])).toEqual([["a", "4.50"], ["b", "2.25"]]);
    expect(crews.flatMap(({ people }) => people).flatMap((person) => person.lines)).toHaveLength(lines.length);
    expect(crews[1]?.people.map(({ person_id, amounts }) => [person_id, amounts])).toEqual([
      ["ana", { trees: "3.00", top_up: "1.25" }],
      ["ben", { correction: "-2.00" }],
    ]);
    expect(sumOf(crews.map(({ total }) => total))).toBe(sumOf(lines.map(({ amount }) => amount)));
  });

  it("tells hours where the run has them, and shows only columns in which anything stands", () => {
    expect(crews[1]?.people.map(({ hours }) => hours)).toEqual([7.5, null]);
    expect(usedColumns(crews)).toEqual(["trees", "rest", "top_up", "correction"]);
    expect([numberOfHead("0a1b 2"), numberOfHead("0a1b")]).toEqual([2, null]);
  });
});

it("days of one crew without names are one thing to mend, after whatever costs somebody money", () => {
  const gap = (code: "shared_alike" | "no_hours" | "not_in_a_run", crew_id: string, day: string) => ({ code, crew_id, day });
  const told = gapsTogether([gap("shared_alike", "a", "1"), gap("no_hours", "a", "2"), gap("shared_alike", "b", "2"), gap("shared_alike", "a", "3"), gap("no_hours", "a", "4"), gap("not_in_a_run", "a", "1"), gap("not_in_a_run", "a", "2")]);
  expect(told.map(({ code, crew_id, days }) => [code, crew_id, ...days])).toEqual([
    ["no_hours", "a", "2"],
    ["no_hours", "a", "4"],
    ["not_in_a_run", "a", "1", "2"],
    ["shared_alike", "a", "1", "3"],
    ["shared_alike", "b", "2"],
  ]);
});

describe("a week of hours", () => {
  it("has seven days from Monday on, over the end of a month and a change of the clock too", () => {
    expect(weekOf("2026-03-01")).toEqual(["2026-02-23", "2026-02-24", "2026-02-25", "2026-02-26", "2026-02-27", "2026-02-28", "2026-03-01"]);
    expect(weekOf("2026-03-29", 6)[0]).toBe("2026-03-29");
    expect(dayAfter("2026-03-28", 2)).toBe("2026-03-30");
    expect([daysBetween("2026-03-28", "2026-03-30"), daysBetween("2026-03-30", "2026-03-28")]).toEqual([2, -2]);
  });

  it("is offered to be paid from where the last run of all crews ended", () => {
    const run = (first: string, last: string, crew_id: string | null = null) => ({ first, last, crew_id });
    const today = "2026-11-27";
    expect(daysToPay(today, [], 0)).toEqual(["2026-11-16", "2026-11-22"]);
    expect(daysToPay(today, [run("2026-10-26", "2026-11-08"), run("2026-09-28", "2026-10-25"), run("2026-11-09", "2026-11-15", "a")], 0)).toEqual(["2026-11-09", "2026-11-15"]);
    // a run that ended within a week leaves the rest of it
    expect(daysToPay(today, [run("2026-11-09", "2026-11-11")], 0)).toEqual(["2026-11-12", "2026-11-15"]);
    expect(daysToPay(today, [run("2026-11-16", "2026-11-22")], 0)).toEqual(["2026-11-23", "2026-11-29"]);
    expect(daysToPay(today, [run("2026-11-23", today)], 0)).toEqual(["2026-11-16", "2026-11-22"]);
  });

  it("is typed in hours, or by the clock; what is none is told", () => {
    expect(["7.5", "7,5", "7:30", "", "0:20", "24"].map(typedHours)).toEqual([7.5, 7.5, 7.5, 0, 0.33, 24]);
    expect(["x", "25", "-1", "7:60", "1:2"].map(typedHours)).toEqual([null, null, null, null, null]);
    expect(["", "20", "1.5", "-5"].map(typedMinutes)).toEqual([0, 20, null, null]);
  });

  it("keeps what was typed and not saved for whoever typed it, and puts it over nobody else's entry", () => {
    const place = { login: "mia", farm: "f", form: "hours 2026-01-19" };
    const cell = { person: "ana", crew: "a", day: "2026-01-20", hours: "7:", rest: "", over: "1" };
    draftOf<CellText[]>(place).keep([cell]);
    expect([draftOf(place).read(), draftOf({ ...place, login: "bo" }).read(), isAnythingWaiting()]).toEqual([[cell], null, true]);
    const kept = { id: "1", person_id: "ana", crew_id: "a", day: cell.day, hours: 8, rest_minutes: 0 };
    expect(typedBefore([cell], cell, kept)).toBe(cell);
    expect([typedBefore([cell], cell, { ...kept, id: "2" }), typedBefore([cell], cell, undefined), typedBefore([cell], { ...cell, crew: "b" }, kept)]).toEqual([null, null, null]);
    draftOf(place).keep(null);
    expect(isAnythingWaiting()).toBe(false);
  });

  it("sends only what changed, each entry naming the one it corrects", () => {
    const kept = { id: "1", person_id: "ana", crew_id: "a", day: "2026-01-20", hours: 8, rest_minutes: 0 };
    const cell = { person_id: "ana", crew_id: "a", day: "2026-01-20", hours: 8, rest_minutes: 0 };
    expect(changedHours([kept], [cell, { ...cell, person_id: "ben", hours: 0 }], () => "new")).toEqual([]);
    expect(changedHours([kept], [{ ...cell, hours: 0 }, { ...cell, crew_id: "b", hours: 2 }], () => "new")).toEqual([
      { ...cell, id: "new", hours: 0, replaces_id: "1" },
      { ...cell, id: "new", crew_id: "b", hours: 2, replaces_id: null },
    ]);
  });
});

describe("the form of rules", () => {
  const bare = rulesText(null, (amount) => amount);
  const rate = { per: "tree" as const, rate: "0,45", variety: "", method: "ladder" as const, first: "2026-01-01", last: "" };

  it("suggests no rate, no wage and no currency", () => {
    expect([bare.currency, bare.rates, bare.minimum_wage, bare.bonus_per_tree, bare.overtime_after_h]).toEqual(["", [], [], "", ""]);
    expect(typedRules(bare)).toEqual({ field: "currency", line: 0 });
  });

  it("says what is wrong by field and line", () => {
    const faults = (changes: Partial<RulesText>) => typedRules({ ...bare, currency: "eur", ...changes });
    expect(faults({ rates: [rate, { ...rate, rate: "" }] })).toEqual({ field: "rate", line: 1 });
    expect(faults({ rates: [{ ...rate, last: "2025-12-31" }] })).toEqual({ field: "rate_days", line: 0 });
    expect(faults({ minimum_wage: [{ per_hour: "x", first: "", last: "" }] })).toEqual({ field: "per_hour", line: 0 });
    expect(faults({ overtime_after_h: "40" })).toEqual({ field: "overtime_percent", line: 0 });
    expect(faults({ overtime_percent: "50" })).toEqual({ field: "overtime_after_h", line: 0 });
    const later = { ...rate, first: "2026-02-01" };
    expect(faults({ rates: [rate, { ...rate, method: "" }, later] })).toEqual({ field: "rate_shared", line: 2 });
    expect(faults({ rates: [{ ...rate, last: "2026-01-31" }, later] })).not.toHaveProperty("field");
    expect(faults({ minimum_wage: [{ per_hour: "9", first: "", last: "" }, { per_hour: "10", first: "2026-04-01", last: "" }] })).toEqual({ field: "wage_shared", line: 1 });
    expect(faults({ rounding_step: "0" })).toEqual({ field: "rounding_step", line: 0 });
  });

  it("comes back as it was saved", () => {
    const typed = typedRules({ ...bare, currency: "gbp", rates: [rate], overtime_after_h: "40", overtime_percent: "50", returns_paid: true });
    if ("field" in typed) throw new Error(typed.field);
    expect(typed).toMatchObject({ currency: "GBP", minor_digits: 2, rounding_step: "0.01", overtime_after_h_per_week: "40", overtime_premium: "0.5" });
    expect(typed.rates[0]).toEqual({ per: "tree", rate: "0.45", variety: null, method: "ladder", first: "2026-01-01", last: null });
    expect(typedRules(rulesText(typed, (amount) => amount))).toEqual(typed);
    for (const percent of ["33.3", "0.5", "100", "12.125"]) {
      const said = typedRules({ ...bare, currency: "EUR", overtime_after_h: "40", overtime_percent: percent });
      if ("field" in said) throw new Error(said.field);
      expect([said.overtime_premium, rulesText(said, (amount) => amount).overtime_percent]).toEqual([{ "33.3": "0.333", "0.5": "0.005", "100": "1", "12.125": "0.12125" }[percent], percent]);
    }
    expect([smallestCoin("JPY"), smallestCoin("KWD"), smallestCoin("XX")]).toEqual(["1", "0.001", "0.01"]);
  });
});

it("each part of pay has an address, with the day and crew to begin with", () => {
  const place = { screen: "pay", block: null, part: "hours", crew: "a", day: "2026-01-20" } as const;
  expect(addressOf(place)).toBe("/pay?part=hours&crew=a&day=2026-01-20");
  expect(placeOf("/pay", "?part=hours&crew=a&day=2026-01-20")).toEqual(place);
  expect(payAsked(placeOf("/pay", "?part=hours&day=2026-01-20"))).toEqual({ part: "hours", day: "2026-01-20", until: null });
  for (const wrong of ["?part=lots&day=today", "?day=2026-13-45", ""]) expect(payAsked(placeOf("/pay", wrong))).toEqual({ part: "run", day: null, until: null });
});

it("what is under the budget only because something is missing is told with it", () => {
  expect([true, false].map((isWhole) => PAY.under("9.00", isWhole))).toEqual(["9.00 under the budget", "9.00 under the budget, with what is missing left out"]);
});

it("the days of a run stay in its address: a week by its first day, other days by both", () => {
  const today = "2026-11-27"; // a Friday
  expect(keptDays(["2026-11-09", "2026-11-15"], today, 0)).toEqual({ day: "2026-11-09", until: null });
  expect(keptDays(["2026-11-23", today], today, 0)).toEqual({ day: "2026-11-23", until: null });
  expect(keptDays(["2026-11-08", "2026-11-14"], today, 6)).toEqual({ day: "2026-11-08", until: null });
  for (const [first, last] of [["2026-11-02", "2026-11-15"], ["2026-11-10", "2026-11-15"], ["2026-11-23", "2026-11-24"]] as const) {
    const kept = keptDays([first, last], today, 0);
    expect(kept).toEqual({ day: first, until: last });
    const { day, until } = kept;
    const address = addressOf({ screen: "pay", block: null, part: "run", day, ...(until !== null && { until }) });
    expect(payAsked(placeOf("/pay", address.slice("/pay".length)))).toEqual({ part: "run", day: first, until: last });
  }
  expect(payAsked(placeOf("/pay", "?day=2026-11-15&until=2026-11-02"))).toEqual({ part: "run", day: "2026-11-15", until: null });
});

it("hours of a week within the run leave its days alone, those of another week take their place", () => {
  const run = { day: "2026-11-02", until: "2026-11-15" };
  expect(daysBeside(run, ["2026-11-09", "2026-11-15"])).toEqual(run);
  expect(daysBeside(run, ["2026-11-16", "2026-11-22"])).toEqual({ day: "2026-11-16", until: null });
  expect(daysBeside(null, ["2026-11-16", "2026-11-22"])).toEqual({ day: "2026-11-16", until: null });
  const asked = { day: "2026-11-12", until: null };
  expect(daysBeside(asked, ["2026-11-09", "2026-11-15"])).toEqual(asked);
});
