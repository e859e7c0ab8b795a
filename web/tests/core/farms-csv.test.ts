/** Farms side by side as CSV: read back by the grammar of RFC 4180, every figure of the answer is there, and nothing is a formula. */

import { expect, it } from "vitest";
import type { FarmWork, Work } from "../../src/core/farms-contracts";
import { standingCsv, varietiesCsv, weeksCsv } from "../../src/core/farms-csv";

const NONE: Work = { trees: 0, person_hours: 0, trees_per_h: null, checked: 0, faulty: 0, wilson: null };
const DONE: Work = { trees: 120, person_hours: 15.5, trees_per_h: 7.74, checked: 20, faulty: 1, wilson: [0.0089, 0.2361] };
const LOTS = { accepted: 2, accepted_in_part: 1, send_back: 1, too_few: 3 };

function farm(name: string, over: Partial<FarmWork> = {}): FarmWork {
  return {
    id: name, name, cursor: 1, today: "2026-11-27", season: "Winter", chance: null, work: DONE, varieties: [], weeks: [],
    finish: { p10: "2027-01-10", p50: "2027-01-14", p90: null },
    figures: { trees: 400, pruned: 130, must_finish_on: "2027-01-20", lots: LOTS },
    ...over,
  };
}

/** Read by the grammar of RFC 4180, which knows nothing of how it was written. */
function read(text: string): Record<string, string>[] {
  expect(text.startsWith("\ufeff")).toBe(true);
  const rows: string[][] = [[]];
  for (const [, quoted, plain, end] of text.slice(1).matchAll(/(?:"((?:[^"]|"")*)"|([^",\r\n]*))(,|\r\n)/g)) {
    rows.at(-1)?.push(quoted === undefined ? (plain ?? "") : quoted.replaceAll('""', '"'));
    if (end !== ",") rows.push([]);
  }
  const [heads = [], ...lines] = rows.slice(0, -1);
  expect(lines.every((line) => line.length === heads.length)).toBe(true);
  return lines.map((line) => Object.fromEntries(line.map((value, at) => [heads[at] ?? "", value])));
}

it("tells how far each farm is, with the names that people gave, whatever is in them", () => {
  const odd = ['Low "Ridge", west', "=SUM(A1)", " -2", "two\nlines"];
  const lines = read(standingCsv(odd.map((name) => farm(name))));
  expect(lines.map(({ farm: name }) => name)).toEqual([odd[0], "'=SUM(A1)", "' -2", odd[3]]);
  expect(lines[0]).toEqual({
    farm: odd[0], season: "Winter", as_of: "2026-11-27", trees: "400", trees_pruned_now: "130", likely_finished: "2027-01-14", finished_9_in_10: "",
    must_finish: "2027-01-20", blocks_accepted: "2", blocks_accepted_in_part: "1", blocks_to_send_back: "1", blocks_too_few_checks: "3", trees_pruned: "120", person_hours: "15.5", trees_per_person_hour: "7.74",
    trees_checked: "20", trees_faulty: "1", faulty_share_low: "0.0089", faulty_share_high: "0.2361",
  });
});

it("a farm without a season, and a variety that one of them does not grow, leave nothing that was not told", () => {
  const bare = farm("Bare", { season: null, finish: null, work: NONE, figures: { trees: 0, pruned: 0, must_finish_on: null, lots: { ...LOTS, accepted: 0, accepted_in_part: 0, send_back: 0 } } });
  expect(read(standingCsv([bare]))[0]).toMatchObject({ season: "", likely_finished: "", must_finish: "", trees_per_person_hour: "", faulty_share_low: "", blocks_to_send_back: "0" });
  const grown = farm("Grown", { varieties: [{ ...DONE, key: "annat", name: "Annat", trees_in_all: 200 }] });
  expect(read(varietiesCsv([bare, grown]))).toMatchObject([{ variety: "Annat", farm: "Grown", trees: "200", trees_pruned: "120" }]);
});

it("has a line for each week of each farm, also for one without work, of the variety that is shown", () => {
  const weeks = [{ ...DONE, monday: "2026-11-23", key: null }, { ...DONE, trees: 7, monday: "2026-11-23", key: "annat" }];
  const one = farm("One", { weeks, varieties: [{ ...DONE, key: "annat", name: "Annat", trees_in_all: 200 }] });
  const both = [one, farm("Two", { weeks: [{ ...DONE, monday: "2026-11-16", key: null }] })];
  expect(read(weeksCsv(both, null)).map((line) => [line["week_of_monday"], line["farm"], line["variety"], line["trees_pruned"]])).toEqual([
    ["2026-11-23", "One", "", "120"],
    ["2026-11-23", "Two", "", "0"],
    ["2026-11-16", "One", "", "0"],
    ["2026-11-16", "Two", "", "120"],
  ]);
  expect(read(weeksCsv(both, "annat"))).toMatchObject([{ farm: "One", variety: "Annat", trees_pruned: "7" }, { farm: "Two", variety: "Annat", trees_pruned: "0" }]);
});
