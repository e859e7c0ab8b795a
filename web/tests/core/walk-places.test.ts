import { expect, it } from "vitest";
import vectors from "../../../tests/vectors/places/rows.json";
import type { BlockShape, ShapeRow } from "../../src/core/contracts";
import { placesOf } from "../../src/core/walk-places";

const rows = vectors.rows.map(({ row }) => row as unknown as ShapeRow);
const shape: BlockShape = { id: "b", version: "v", origin: vectors.origin as [number, number], unit_deg: vectors.unit_deg, rows };
const places = placesOf(shape);

it.each(vectors.rows.map(({ row, xy_m }) => [row.n, row.p, xy_m] as const))(
  "row %i: all its %i positions stand where the service says, within a hand",
  (row, positions, wanted) => {
    expect(wanted).toHaveLength(positions);
    wanted.forEach(([x = 0, y = 0], at) => {
      const found = places.of({ row, position: at + 1 });
      // metres of a degree differ by a part in a thousand between the page's round figure and the service's ellipsoid
      expect(Math.abs((found?.[0] ?? NaN) - x)).toBeLessThan(0.15);
      expect(Math.abs((found?.[1] ?? NaN) - y)).toBeLessThan(0.2);
    });
  },
);
