import { describe, expect, it } from "vitest";
import type { Lonlat } from "../../src/core/contracts";
import type { GroundRow } from "../../src/core/ground-contracts";
import { beside, between, lengthened, numbersFrom, partCounts, placeAt, positionLonlats, turnedPlaces } from "../../src/core/ground-rows";

const METRES_PER_DEGREE = 111_320;
const north = (m: number): number => 46.5 + m / METRES_PER_DEGREE;

function row(more: Partial<GroundRow> = {}): GroundRow {
  return {
    number: 1,
    parts: [[[11.3, north(0)], [11.3, north(10)]]],
    part_positions: [5],
    length_m: 10,
    end_offset_m: 1,
    positions: 5,
    trees: 5,
    counted_positions: null,
    blanks: [],
    pollinizers: [],
    marks: 0,
    others: 0,
    ...more,
  };
}
const metresNorth = ([, lat]: Lonlat): number => Math.round((lat - 46.5) * METRES_PER_DEGREE * 100) / 100;

describe("places of a row", () => {
  it("turn from tree to blank to pollinizer and back, and touch no other place", () => {
    let places = { blanks: [2], pollinizers: [4] };
    const seen = [];
    for (let touch = 0; touch < 3; touch += 1) {
      places = turnedPlaces(row(places), 3);
      seen.push([placeAt(row(places), 3), placeAt(row(places), 2), placeAt(row(places), 4)]);
    }
    expect(seen).toEqual([["blank", "blank", "pollinizer"], ["pollinizer", "blank", "pollinizer"], ["tree", "blank", "pollinizer"]]);
    expect(places).toEqual({ blanks: [2], pollinizers: [4] });
  });

  it("stand evenly between the end offsets, as the service puts them", () => {
    expect(positionLonlats(row()).map(metresNorth)).toEqual([1, 3, 5, 7, 9]);
    expect(positionLonlats(row({ part_positions: [1], positions: 1 })).map(metresNorth)).toEqual([5]);
  });

  it("share a counted number out by the rule's, the rest to the largest remainder (the example of the service)", () => {
    expect(partCounts(row({ part_positions: [42, 52], counted_positions: 96 }))).toEqual([43, 53]);
    expect(partCounts(row({ part_positions: [42, 52] }))).toEqual([42, 52]);
  });
});

describe("lines drawn from a row", () => {
  it("lie beside it: to the right of its direction is east of one that runs north", () => {
    const [[first] = []] = beside(row().parts, 4);
    const perLon = METRES_PER_DEGREE * Math.cos((46.5 * Math.PI) / 180);
    expect(((first?.[0] ?? 0) - 11.3) * perLon).toBeCloseTo(4, 3);
    expect(metresNorth(first ?? [0, 0])).toBe(0);
  });

  it("grow at the end that is named and at no other", () => {
    const [line = []] = lengthened(row().parts, "last", 2.5);
    expect(line.map(metresNorth)).toEqual([0, 12.5]);
    expect(lengthened(row().parts, "first", -1)[0]?.map(metresNorth)).toEqual([1, 10]);
  });

  it("cut between two rows midway, also where one is walked back", () => {
    const back = row({ parts: [[[11.302, north(10)], [11.302, north(0)]]] });
    const cut = between(row(), back) ?? [];
    expect(cut.map(([lon]) => lon.toFixed(4))).toEqual(["11.3010", "11.3010"]);
    expect(cut.map(metresNorth)).toEqual([0, 10]);
  });
});

describe("numbers from one on", () => {
  it("follow the rows' order or the other side's, and leave out what stays", () => {
    expect(numbersFrom([3, 1, 2], 1, false)).toEqual([]);
    expect(numbersFrom([1, 2, 3], 1, true)).toEqual([[3, 1], [1, 3]]);
    expect(numbersFrom([5, 9], 7, false)).toEqual([[5, 7], [9, 8]]);
  });
});
