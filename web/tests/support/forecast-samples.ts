/** A forecast as the service tells one: nine working days gone, late by a week. */

import type { Forecast } from "../../src/core/forecast-contracts";

export function sampleForecast(changed: Partial<Forecast> = {}): Forecast {
  return {
    farm_id: "f",
    day: "2026-01-22",
    season_id: "s",
    must_finish_on: "2026-03-20",
    trees: 10_000,
    pruned: 2_000,
    trees_left: 8_000,
    missing: [],
    finish: { p10: "2026-03-11", p50: "2026-03-18", p90: "2026-03-27" },
    chance: 0.62,
    straight_line: "2026-03-09",
    short_people: 3,
    fan: [
      ["2026-01-21", 2_000, 2_000, 2_000],
      ["2026-01-22", 2_150, 2_200, 2_260],
      ["2026-03-11", 8_800, 9_400, 10_000],
      ["2026-03-18", 9_400, 10_000, 10_000],
      ["2026-03-27", 10_000, 10_000, 10_000],
    ],
    burnup: [
      ["2026-01-12", 250],
      ["2026-01-19", 1_500],
      ["2026-01-21", 2_000],
    ],
    earlier: [
      ["2026-01-13", "2026-03-02", "2026-03-24", null, 0.4],
      ["2026-01-19", "2026-03-09", "2026-03-21", "2026-04-02", 0.5],
    ],
    scored: { issued: 1, inside: 1 },
    blocks: [
      { block_id: "b1", crew_id: "c1", p10: "2026-02-02", p50: "2026-02-04", p90: "2026-02-09", chance: 1 },
      { block_id: "b2", crew_id: null, p10: "2026-03-11", p50: "2026-03-18", p90: "2026-03-27", chance: 0.62 },
    ],
    paces: [{ crew_id: "c1", variety_id: null, method: "ladder", system: "axis", trees_per_h: 11.2, low: 9.8, high: 12.7, days: 9 }],
    crews: [{ crew_id: "c1", people: 6, method: "ladder" }],
    without_hours: [],
    ...changed,
  };
}
