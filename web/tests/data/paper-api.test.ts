import { describe, expect, it } from "vitest";
import { crewSheetAddress, wallMapAddress, weeklyAddress } from "../../src/data/paper-api";

describe("addresses of what is printed", () => {
  it("ask for the day that is looked at, in the language of the pages, with ids made safe", () => {
    expect(wallMapAddress("f/1", "2026-01-21", "a3")).toBe("/api/farms/f%2F1/wall-map.pdf?day=2026-01-21&size=a3&language=en");
    expect(wallMapAddress("f", "2026-01-21", "a4", "b&1")).toBe("/api/farms/f/wall-map.pdf?day=2026-01-21&size=a4&block=b%261&language=en");
    expect(weeklyAddress("f", "2026-01-21")).toBe("/api/farms/f/weekly-report.pdf?day=2026-01-21&language=en");
  });

  it("leave the rows that are done out of a crew sheet where that is asked", () => {
    const whole = crewSheetAddress("f", "2026-01-21", "b", false);
    expect(whole).toBe("/api/farms/f/crew-sheets.pdf?day=2026-01-21&block=b&language=en");
    expect(crewSheetAddress("f", "2026-01-21", "b", true)).toContain("&only_left=true&");
  });
});
