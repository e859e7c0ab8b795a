import { describe, expect, it } from "vitest";

import type { VarietyWork, WeekWork } from "../../src/core/farms-contracts";
import { varietyLines, weekLines } from "../../src/core/side-by-side";

const WORK = { trees: 0, person_hours: 0, trees_per_h: null, checked: 0, faulty: 0, wilson: null };
const variety = (name: string): VarietyWork => ({ ...WORK, key: name.toLowerCase(), name, trees_in_all: 1 });
const week = (monday: string, key: string | null, trees: number): WeekWork => ({ ...WORK, monday, key, trees });

describe("farms side by side", () => {
  it("puts the varieties first that can be compared, each in the place of its farm", () => {
    const lines = varietyLines([{ varieties: [variety("Annat"), variety("Pitmaston")] }, { varieties: [variety("Pitmaston"), variety("Bess Pool")] }]);
    expect(lines.map(({ name }) => name)).toEqual(["Pitmaston", "Annat", "Bess Pool"]);
    expect(lines.map(({ of }) => of.map((one) => one?.name ?? null))).toEqual([
      ["Pitmaston", "Pitmaston"],
      ["Annat", null],
      [null, "Bess Pool"],
    ]);
  });

  it("shows every week between the first and the last of any farm, also over the turn of the year, the newest first", () => {
    const farms = [{ weeks: [week("2025-12-22", null, 5), week("2025-12-22", "annat", 3)] }, { weeks: [week("2026-01-05", null, 7)] }];
    expect(weekLines(farms, null).map(({ monday, of }) => [monday, ...of.map((one) => one?.trees ?? null)])).toEqual([
      ["2026-01-05", null, 7],
      ["2025-12-29", null, null],
      ["2025-12-22", 5, null],
    ]);
    expect(weekLines(farms, "annat")).toEqual([{ monday: "2025-12-22", of: [week("2025-12-22", "annat", 3), null] }]);
    expect(weekLines(farms, "nowhere")).toEqual([]);
  });
});
