import { expect, it } from "vitest";
import { answerWords, chanceText, wholeHundredths } from "../../src/core/finish-wording";
import { FORECAST, inTimeWords, TAKES } from "../../src/core/forecast-wording";
import { sampleForecast } from "../support/forecast-samples";

const never = { p10: "2026-03-11", p50: "2026-03-18", p90: null };

it("the answer is one sentence with its days and what is lacking", () => {
  expect(answerWords(sampleForecast())).toBe("Likely Wed 18 Mar, 9 in 10 by Fri 27 Mar; must finish Fri 20 Mar: short by 3 people for 9 in 10.");
  expect(answerWords(sampleForecast({ short_people: 1 }))).toContain("short by 1 person for 9 in 10.");
  expect(answerWords(sampleForecast({ short_people: 0 }))).toContain(": in time 9 times in 10.");
  expect(answerWords(sampleForecast({ finish: never, short_people: null }))).toBe(
    "Likely Wed 18 Mar, 9 in 10 by no day that can be told; must finish Fri 20 Mar: no number of people makes it.",
  );
  expect(answerWords(sampleForecast({ finish: { p10: null, p50: null, p90: null } }))).toBe("Finished on no day that can be told; must finish Fri 20 Mar: short by 3 people for 9 in 10.");
  expect(answerWords(sampleForecast({ trees_left: 0, finish: { p10: "2026-03-18", p50: "2026-03-18", p90: "2026-03-18" } }))).toBe("Finished on Wed 18 Mar; it had to be by Fri 20 Mar.");
  expect(answerWords(sampleForecast({ finish: null, missing: ["expected_pace"] }))).toBeNull();
});

it("no chance is said to be none or all: nobody knows that", () => {
  expect([0, 0.004, 0.25, 0.994, 1].map(chanceText)).toEqual(["under 1\u00a0%", "under 1\u00a0%", "25\u00a0%", "over 99\u00a0%", "over 99\u00a0%"]);
  expect([0, 0.013, 0.254, 1].map((chance) => FORECAST.ofHundred(chance, "Fri 20 Mar").split(", ")[1])).toEqual([
    "not one is done by Fri 20 Mar.",
    "about 1 is done by Fri 20 Mar.",
    "about 25 are done by Fri 20 Mar.",
    "more than 99 are done by Fri 20 Mar.",
  ]);
});

it("a day that is over is told to be, whatever the chance", () => {
  expect(inTimeWords(0, "2026-03-20", "2026-03-20")).toBe("Fri 20 Mar is over, and trees are left.");
  expect(inTimeWords(0.5, "2026-03-20", "2026-03-19")).toContain("about 50 are done by Fri 20 Mar");
});

it("what falls short of 9 in 10 never reads as 90", () => {
  expect([0.899, 0.9, 0.29].map(wholeHundredths)).toEqual([89, 90, 29]);
  expect(chanceText(0.899)).toBe("89\u00a0%");
});

it("what it would take says none, one and several apart", () => {
  expect([null, 0, 1, 4].map(TAKES.people)).toEqual([
    "No number of people more makes it: days are too few, or a block is closed too long.",
    "No people more: it is made as things stand.",
    "1 person more, from the next day on to the end.",
    "4 people more, from the next day on to the end.",
  ]);
  expect([0, 1, 6].map((n) => TAKES.days(n, "26 Mar"))).toEqual(["No day more: by 26 Mar it is done that surely.", "Or until 26 Mar, 1 day of the calendar later.", "Or until 26 Mar, 6 days of the calendar later."]);
});
