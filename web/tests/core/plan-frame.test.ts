import { describe, expect, it } from "vitest";
import type { Lonlat } from "../../src/core/contracts";
import { bearingBetween_deg, planFrame, vertices } from "../../src/core/plan-frame";

describe("planFrame", () => {
  const corners = [
    [-120.326, 38.0169],
    [-120.325, 38.0179],
  ];

  it("puts north-west at 0,0 and gives points back", () => {
    const frame = planFrame(corners);
    expect(frame.toXy_m([-120.326, 38.0179])).toEqual([0, 0]);
    const [lon, lat] = frame.toLonlat(frame.toXy_m([-120.3253, 38.0172]));
    expect(lon).toBeCloseTo(-120.3253, 9);
    expect(lat).toBeCloseTo(38.0172, 9);
  });

  it("is as long as a thousandth of a degree of latitude: 111 m", () => {
    // one minute of latitude is one nautical mile (1852 m by definition, within 0.3 %): 0.001 degrees = 111.1 m
    expect(planFrame(corners).height_m).toBeGreaterThan(110.8);
    expect(planFrame(corners).height_m).toBeLessThan(111.5);
  });

  it("holds nothing without falling over", () => {
    expect(planFrame([]).width_m).toBe(0);
  });
});

describe("bearingBetween_deg", () => {
  const here: Lonlat = [10, 50];

  it.each<[string, Lonlat, number]>([
    ["north", [10, 50.001], 0],
    ["east", [10.001, 50], 90],
    ["south", [10, 49.999], 180],
    ["west", [9.999, 50], 270],
  ])("%s", (_, there, bearing) => {
    expect(bearingBetween_deg(here, there)).toBeCloseTo(bearing, 1);
  });

  it("turns by half a circle when the points are swapped", () => {
    const there: Lonlat = [10.0007, 50.0011];
    expect((bearingBetween_deg(here, there) + 180) % 360).toBeCloseTo(bearingBetween_deg(there, here), 6);
  });
});

it("vertices come from every kind of geometry, and none from none", () => {
  expect(vertices(null)).toEqual([]);
  expect(vertices({ type: "Point", coordinates: [1, 2] })).toEqual([[1, 2]]);
  const ring = [[0, 0], [1, 0], [1, 1], [0, 0]];
  expect(vertices({ type: "MultiPolygon", coordinates: [[ring], [ring]] })).toHaveLength(8);
});
