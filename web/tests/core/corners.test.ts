import { describe, expect, it } from "vitest";
import { cornersOf, cornerText, latLon, onlyRing, outlineOf, ringsOf } from "../../src/core/corners";

describe("typed corners", () => {
  it("are read latitude first, with comma, semicolon or blanks, and written so that they are read again", () => {
    const { corners } = cornersOf("46.5, 11.3\n46.501;11.3\n\n 46.501 11.302 ");
    expect(corners).toEqual([[11.3, 46.5], [11.3, 46.501], [11.302, 46.501]]);
    expect(cornersOf(cornerText(corners)).corners).toEqual(corners);
  });

  it("name the line that is none", () => {
    expect(cornersOf("46.5, 11.3\nhere")).toEqual({ corners: [], wrongLine: 2 });
    expect([latLon("91, 11"), latLon("46.5"), latLon("46,5 11,3")]).toEqual([null, null, null]);
  });

  it("make a closed ring and are given back by it; an outline of parts or holes has no single ring", () => {
    const { corners } = cornersOf("46.5, 11.3\n46.501, 11.3\n46.501, 11.302");
    expect(onlyRing(outlineOf(corners))).toEqual(corners);
    expect(onlyRing({ type: "MultiPolygon", coordinates: [] })).toEqual([]);
  });
});

it("how many parts and holes an outline has", () => {
  const ring = [[0, 0], [1, 0], [1, 1], [0, 0]];
  expect(ringsOf({ type: "Polygon", coordinates: [ring] })).toEqual({ parts: 1, holes: 0 });
  expect(ringsOf({ type: "MultiPolygon", coordinates: [[ring, ring], [ring]] })).toEqual({ parts: 2, holes: 1 });
  expect(ringsOf(null)).toEqual({ parts: 0, holes: 0 });
});
