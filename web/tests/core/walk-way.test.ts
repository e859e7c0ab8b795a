import { describe, expect, it } from "vitest";
import type { BlockShape, ShapeRow } from "../../src/core/contracts";
import { wayWords } from "../../src/core/check-walk-wording";
import { apart_m, placesOf } from "../../src/core/walk-places";
import { offTree_m, wayTo } from "../../src/core/walk-way";

const LAT = 46.5;
const PER_LON = 111_320 * Math.cos((LAT * Math.PI) / 180);
/** Rows that run north, 4 m apart, with trees every 1.5 m; the first position stands 0.75 m in. */
function block(rows: number, trees: number): BlockShape {
  const unit = 1e-9;
  const row = (n: number): ShapeRow => {
    const [x, length] = [4 * (n - 1), 1.5 * trees];
    const xy = [x / PER_LON / unit, 0, x / PER_LON / unit, length / 111_320 / unit].map(Math.round);
    return { n, p: trees, e: 0.75, parts: [[trees, xy]] };
  };
  return { id: "b", version: "v", origin: [11.3, LAT], unit_deg: unit, rows: Array.from({ length: rows }, (_, at) => row(at + 1)) };
}
const places = placesOf(block(20, 60));
const at = (row: number, position: number) => ({ row, position });

describe("where trees stand", () => {
  it("is even along the row, between the end offsets", () => {
    expect(places.of(at(3, 1))?.[0]).toBeCloseTo(8, 3);
    expect(places.of(at(3, 1))?.[1]).toBeCloseTo(0.75, 3);
    expect(places.of(at(3, 60))?.[1]).toBeCloseTo(89.25, 3);
    expect(places.of(at(3, 61))).toBeNull();
    expect(places.of(at(99, 1))).toBeNull();
  });
});

describe("the way to a tree", () => {
  it("in the same row is so many trees toward one of its ends; trees carry no numbers to tell on from back", () => {
    expect(wayTo(places, at(3, 5), at(3, 17))).toMatchObject({ kind: "same", trees: 12 });
    expect(wayWords(wayTo(places, at(3, 5), at(3, 17)), 0)).toBe("Same row, 12 trees north, about 18 m");
    expect(wayWords(wayTo(places, at(3, 5), at(3, 17)), null)).toBe("Same row, 12 trees on, about 18 m");
    expect(wayWords(wayTo(places, at(3, 17), at(3, 15)), 0)).toBe("Same row, 2 trees south, about 3 m");
    expect(wayWords(wayTo(places, at(3, 17), at(3, 17)), 0)).toBe("You stand at it.");
  });

  it("to the next row goes across their alley", () => {
    expect(wayWords(wayTo(places, at(3, 10), at(4, 13)), 0)).toBe("Next row, 4: across and 3 trees north, about 6 m");
    expect(wayWords(wayTo(places, at(4, 13), at(3, 13)), 0)).toBe("Next row, 3: straight across, about 4 m");
  });

  it("to another row goes around the end that makes it shorter, and counts from there", () => {
    const far = wayTo(places, at(3, 55), at(14, 51));
    expect(far).toMatchObject({ kind: "end", row: 14, end: "far", nth: 10 });
    // 7.5 m out, 44 m along the headland, 13.5 m in
    expect(far.kind === "end" && far.metres).toBeCloseTo(65, 1);
    expect(wayWords(far, 0)).toBe("To row 14, from its far end (north): 10 trees in, about 65 m");
    expect(wayTo(places, at(3, 5), at(14, 8))).toMatchObject({ end: "first", nth: 8 });
  });

  it("is never longer by the end chosen than by the other one", () => {
    for (const [a, b] of [[at(1, 1), at(9, 60)], [at(2, 30), at(20, 31)], [at(7, 44), at(3, 2)], [at(20, 60), at(1, 60)]] as const) {
      const told = wayTo(places, a, b);
      const by = (end: 1 | 60): number => {
        const [out, goesIn] = [places.of(at(a.row, end)), places.of(at(b.row, end))];
        const [from, to] = [places.of(a), places.of(b)];
        if (!out || !goesIn || !from || !to) throw new Error("no place");
        return apart_m(from, out) + apart_m(out, goesIn) + apart_m(goesIn, to);
      };
      expect(told.kind === "end" && told.metres).toBeCloseTo(Math.min(by(1), by(60)), 1);
    }
  });

  it("from nowhere known is told from the nearer end, without metres", () => {
    expect(wayWords(wayTo(places, null, at(3, 1)), null)).toBe("To row 3, from its first end: the first tree there");
    expect(wayWords(wayTo(places, null, at(3, 58)), 2)).toBe("To row 3, from its far end (east): 3 trees in");
  });
});

it("a device that may well stand at the tree is not warned; one that cannot is told how far off it seems", () => {
  const shape = block(20, 60);
  const here = (dx: number, dy: number) => placesOf(shape, [11.3 + dx / PER_LON, LAT + dy / 111_320]);
  expect(offTree_m(here(8, 0.75), at(3, 1), 5)).toBeNull();
  expect(offTree_m(here(8 + 14, 0.75), at(3, 1), 5)).toBeNull();
  expect(offTree_m(here(8 + 40, 0.75), at(3, 1), 5)).toBeCloseTo(40, 1);
  expect(offTree_m(here(8 + 40, 0.75), at(3, 1), 60)).toBeNull();
});
