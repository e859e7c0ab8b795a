import { describe, expect, it } from "vitest";
import { changedSetting, inLanguage, minimaChart, settingText, typedPoints, type Setting, type WeatherDay } from "../../src/core/timing";

const day = (iso: string, tmin_c: number, is_forecast = false): WeatherDay => ({ day: iso, tmin_c, tmax_c: tmin_c + 5, rain_mm: 0, is_forecast });

describe("the chart of minima", () => {
  const days = [day("2026-01-01", 2), day("2026-01-02", -20), day("2026-01-05", 1), day("2026-01-06", -3, true), day("2026-01-07", -18, true)];
  const chart = minimaChart(days, [{ day: "2026-01-02", rows: 4 }, { day: "2025-12-30", rows: 9 }], -17.8, "2026-01-05");
  if (chart === null) throw new Error("no chart");

  it("is broken where days are missing, and the forecast goes on from the last day that was measured", () => {
    expect(chart.pieces.map(({ isForecast, points }) => [isForecast, points.length])).toEqual([[false, 2], [false, 1], [true, 3]]);
    expect(chart.pieces[2]?.points[0]).toEqual(chart.pieces[1]?.points[0]);
  });

  it("has colder days lower, hard frosts on or under their line, and days in order across the whole width", () => {
    expect(chart.frosts).toHaveLength(2);
    for (const [, y] of chart.frosts) expect(y).toBeGreaterThanOrEqual(chart.frostLine_y);
    expect(chart.zero_y).toBeLessThan(chart.frostLine_y);
    const across = chart.pieces.flatMap(({ points: of }) => of.map(([x]) => x));
    expect(across).toEqual([...across].sort((a, b) => a - b));
    expect([across[0], across.at(-1)]).toEqual([12, chart.width - 12]);
  });

  it("shows days of cuts and today only where the table reaches", () => {
    expect(chart.cuts.map(({ day: cut, rows }) => [cut, rows])).toEqual([["2026-01-02", 4]]);
    expect(chart.today_x).toBe(chart.pieces[1]?.points[0]?.[0]);
    expect(minimaChart(days, [], -17.8, "2026-02-01")?.today_x).toBe(null);
    expect(minimaChart([], [], -17.8, "2026-01-05")).toBe(null);
    expect(minimaChart([day("2026-01-01", 2)], [], -17.8, "2026-01-01")?.pieces).toHaveLength(1);
  });
});

describe("a setting", () => {
  const frost: Setting = { name: "hard_frost_c", value: -160 / 9, default: -160 / 9, unit: "°C", low: -40, high: 0, is_whole: false, source: "x" };

  it("is shown with two decimals at most, and leaving it as shown changes nothing", () => {
    expect(settingText(frost, frost.value)).toBe("-17.78");
    expect(settingText({ is_whole: true }, 14)).toBe("14");
    expect(changedSetting(frost, -17.78)).toBe(null);
  });

  it("goes back to exactly what was published", () => {
    expect(changedSetting({ ...frost, value: -10 }, -17.78)).toBe(-160 / 9);
    expect(changedSetting(frost, -12)).toBe(-12);
  });
});

it("points are typed one on a line, longitude first; the first line that is none is named", () => {
  expect(typedPoints("11.30, 46.50\n\n 11.31 46.51 \n")).toEqual([[11.3, 46.5], [11.31, 46.51]]);
  expect(typedPoints("11.30, 46.50\n46.5\n")).toEqual({ wrongLine: 2 });
  expect(typedPoints("200, 46.5")).toEqual({ wrongLine: 1 });
});

it("a sentence is in English where a language lacks it", () => {
  expect(inLanguage({ en: "Frost", es: "Helada" }, "es")).toBe("Helada");
  expect(inLanguage({ en: "Frost" }, "fr")).toBe("Frost");
});

it("poles are read with points or decimal commas, and one number with its comma is no pole", () => {
  const pole = [11.3021, 46.5003];
  for (const line of ["11.3021, 46.5003", "11.3021,46.5003", "11,3021; 46,5003", "11,3021 46,5003", " 11.3021\t46.5003 "]) {
    expect(typedPoints(line), line).toEqual([pole]);
  }
  for (const line of ["11,3021", "11,30", "11,3021,46,5003"]) expect(typedPoints(line), line).toEqual({ wrongLine: 1 });
  expect(typedPoints("11, 46")).toEqual([[11, 46]]);
});
