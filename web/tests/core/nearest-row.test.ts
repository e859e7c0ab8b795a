/// <reference types="vite/client" />
import { describe, expect, it } from "vitest";
import type { BlockShape, Lonlat } from "../../src/core/contracts";
import { nearestRows, orderOfWork, rowLines, suggested } from "../../src/core/nearest-row";
import { randomOf } from "./seeded";

interface Odds {
  accuracy_m: number;
  accuracy_meaning: string;
  sigma_per_axis_m: number;
  row_spacing_m: number;
  standing_off_row_m: number;
  p_right_row: number;
}
// normal errors on each axis; the file says where the figures come from
const files = import.meta.glob<Odds[]>("../../../tests/published/gps_row_odds.json", { eager: true, import: "cases" });
const odds = Object.values(files).flat();

const ORIGIN: Lonlat = [12, 48];
const UNIT = 1e-7;
// metres of a degree as the local frame under test has them are not used here: WGS 84 at 48 degrees north
const PER_LAT = 111_200;
const PER_LON = 74_629;

/** Rows that run north, 120 m long, numbered from the west. */
function block(spacing_m: number, count = 40): BlockShape {
  const row = (at: number) => {
    const x = Math.round(((at - 1) * spacing_m) / PER_LON / UNIT);
    return { n: at, p: 60, e: 0, parts: [[60, [x, 0, x, Math.round(120 / PER_LAT / UNIT)]]] as [number, number[]][] };
  };
  return { id: "b", version: "1", origin: ORIGIN, unit_deg: UNIT, rows: Array.from({ length: count }, (_, at) => row(at + 1)) };
}
function place(x_m: number, y_m: number): Lonlat {
  return [ORIGIN[0] + x_m / PER_LON, ORIGIN[1] + y_m / PER_LAT];
}
function normalOf(random: () => number): () => number {
  return () => Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());
}

describe("nearest rows", () => {
  it("have their distance in metres: half a metre east of row 11, 2.5 m west of row 12", () => {
    const guesses = nearestRows(block(3), { lonlat: place(10 * 3 + 0.5, 60), accuracy_m: 3 }, orderOfWork([11, 12], null));
    const at = new Map(guesses.map(({ row, distance_m }) => [row, distance_m]));
    expect(at.get(11)).toBeCloseTo(0.5, 1);
    expect(at.get(12)).toBeCloseTo(2.5, 1);
  });

  it("beyond the row's end the distance is to its end", () => {
    const [line] = rowLines(block(3, 1), place(0, 150));
    const fix = { lonlat: place(0, 150), accuracy_m: 3 };
    expect(line?.lines[0]?.length).toBe(2);
    expect(nearestRows(block(3, 1), fix, orderOfWork([1], null))[0]?.distance_m).toBeCloseTo(30, 0);
  });

  it("are none when the tablet is in another block", () => {
    expect(nearestRows(block(3), { lonlat: place(-400, 60), accuracy_m: 5 }, orderOfWork([1], null))).toEqual([]);
  });

  it("name a few rows by number that hold nine chances in ten, four at most", () => {
    const order = Array.from({ length: 40 }, (_, at) => at + 1);
    const guesses = nearestRows(block(3.5), { lonlat: place(10 * 3.5 + 1.2, 60), accuracy_m: 4 }, orderOfWork(order, null));
    expect(suggested(guesses)).toEqual([10, 11, 12]); // 92 in 100 by hand, from normal densities at -1.2, 2.3 and -4.7 m
    expect(guesses.reduce((sum, { share }) => sum + share, 0)).toBeCloseTo(1, 9);
    const sure = nearestRows(block(3.5), { lonlat: place(10 * 3.5, 60), accuracy_m: 1 }, orderOfWork(order, 10));
    expect(suggested(sure)).toEqual([11]);
  });
});

describe("how often the likeliest row is the right one", () => {
  // a block of 15 rows: the few metres of error never reach its sides from rows 6 to 10
  const order = Array.from({ length: 15 }, (_, at) => at + 1);

  it("by position alone: the published odds, within what 500 tries can tell", () => {
    const random = randomOf(20260120);
    const normal = normalOf(random);
    const tries = 500;
    const alike = orderOfWork(order, null);
    const shares = odds.map((one) => {
      const shape = block(one.row_spacing_m, order.length);
      let right = 0;
      for (let n = 0; n < tries; n += 1) {
        const row = 6 + Math.floor(random() * 5);
        const x = (row - 1) * one.row_spacing_m + one.standing_off_row_m + normal() * one.sigma_per_axis_m;
        const y = 60 + normal() * one.sigma_per_axis_m;
        if (nearestRows(shape, { lonlat: place(x, y), accuracy_m: one.accuracy_m }, alike)[0]?.row === row) right += 1;
      }
      return right / tries;
    });
    odds.forEach((one, at) => {
      // four standard errors of a share of 500
      const slack = 4 * Math.sqrt((one.p_right_row * (1 - one.p_right_row)) / tries);
      expect(Math.abs((shares[at] ?? 0) - one.p_right_row), JSON.stringify(one)).toBeLessThan(slack);
    });
  }, 30_000);

  it("with the order of work: about 92 in 100, where the foreman is in the next row 90 times in 100", () => {
    // the crew's habits are assumed apart from the weights under test: 90 next, 4 just finished, 4 one ahead, 2 anywhere near
    const random = randomOf(7);
    const normal = normalOf(random);
    let right = 0;
    let alone = 0;
    let named = 0;
    let tries = 0;
    for (const { accuracy_m, accuracy_meaning, sigma_per_axis_m, row_spacing_m, standing_off_row_m } of odds) {
      if (accuracy_meaning !== "android_68pct_radius") continue;
      const shape = block(row_spacing_m, order.length);
      for (let n = 0; n < 300; n += 1) {
        const next = 6 + Math.floor(random() * 5);
        const habit = random();
        const truth = habit < 0.9 ? next : habit < 0.94 ? next - 1 : habit < 0.98 ? next + 1 : 4 + Math.floor(random() * 9);
        const x = (truth - 1) * row_spacing_m + standing_off_row_m + normal() * sigma_per_axis_m;
        const fix = { lonlat: place(x, 60 + normal() * sigma_per_axis_m), accuracy_m };
        const guesses = nearestRows(shape, fix, orderOfWork(order, next - 1));
        if (guesses[0]?.row === truth) right += 1;
        if (suggested(guesses).includes(truth)) named += 1;
        if (nearestRows(shape, fix, orderOfWork(order, null))[0]?.row === truth) alone += 1;
        tries += 1;
      }
    }
    const share = (n: number): string => `${((100 * n) / tries).toFixed(1)} %`;
    console.log(`right row of ${tries} tries: position alone ${share(alone)}, with order of work ${share(right)}; among the rows named ${share(named)}`);
    expect(odds.length).toBe(36);
    expect(alone / tries).toBeGreaterThan(0.34);
    expect(alone / tries).toBeLessThan(0.69);
    expect(right / tries).toBeGreaterThan(0.91);
    expect(right / tries).toBeLessThan(0.96);
  }, 30_000);
});
