import { describe, expect, it } from "vitest";
import { tilesUnder } from "../../src/core/tiles";

const source = { address: "https://tiles.example/{z}/{x}/{y}.png", credit: "" };

describe("tiles under a plan", () => {
  it("are numbered as slippy maps are: 11.3 E 46.5 N is 544/362 at zoom 10 (the formula of Web Mercator, worked out in Python)", () => {
    // 256 px for a tile's width, 360/1024 degrees, put the zoom at 10
    const [tile] = tilesUnder(source, [11.3, 46.5], [11.3 + 360 / 1024 - 1e-9, 46.5 - 1e-9], 256);
    expect(tile?.href).toBe("https://tiles.example/10/544/362.png");
    const [west, north] = tile?.northWest ?? [0, 0];
    const [east, south] = tile?.southEast ?? [0, 0];
    expect(west <= 11.3 && 11.3 < east && south < 46.5 && 46.5 <= north).toBe(true);
  });

  it("cover the whole picture, in no more than forty", () => {
    const found = tilesUnder(source, [11.29, 46.51], [11.31, 46.49], 1200);
    expect(found.length).toBeLessThanOrEqual(40);
    expect(Math.min(...found.map(({ northWest }) => northWest[0]))).toBeLessThanOrEqual(11.29);
    expect(Math.max(...found.map(({ southEast }) => southEast[0]))).toBeGreaterThanOrEqual(11.31);
    expect(Math.max(...found.map(({ northWest }) => northWest[1]))).toBeGreaterThanOrEqual(46.51);
    expect(Math.min(...found.map(({ southEast }) => southEast[1]))).toBeLessThanOrEqual(46.49);
    expect(tilesUnder(source, [1, 1], [1, 1], 100)).toEqual([]);
  });
});
