import { describe, expect, it } from "vitest";
import { BURN_UP, burnUpChart, DRIFT, driftChart, labelRows, monthsBetween } from "../../src/core/burn-up";
import { sampleForecast } from "../support/forecast-samples";

const pairs = (line: string): number[][] => line.split(" ").map((pair) => pair.split(",").map(Number));

describe("the burn-up chart", () => {
  it("begins with no tree the day before the first one worked, and ends on the last day that it tells of", () => {
    const chart = burnUpChart(sampleForecast());
    expect([chart?.first, chart?.last]).toEqual(["2026-01-11", "2026-03-27"]);
    const [begin, first] = pairs(chart?.pruned ?? "");
    expect(begin).toEqual([0, BURN_UP.height]);
    expect(first?.[0]).toBeCloseTo(BURN_UP.width / 75, 1); // one of 75 days
    expect(first?.[1]).toBeCloseTo(BURN_UP.height * 0.975, 1); // 250 of 10,000
  });

  it("the fan goes out along 1 in 10 and comes back along 9 in 10, and holds the likely line", () => {
    const fan = burnUpChart(sampleForecast())?.fan;
    const outline = pairs(fan?.outline ?? "");
    expect(outline).toEqual([...pairs(fan?.low ?? ""), ...pairs(fan?.high ?? "").reverse()]);
    for (const [at, [x = 0, y = 0]] of pairs(fan?.likely ?? "").entries()) {
      const [[lowX = 0, low = 0] = [], [, high = 0] = []] = [pairs(fan?.low ?? "")[at], pairs(fan?.high ?? "")[at]];
      expect(x).toBe(lowX);
      expect(y).toBeLessThanOrEqual(low); // downwards is larger in a picture
      expect(y).toBeGreaterThanOrEqual(high);
    }
  });

  it("the straight line leads to all trees; one that leads years ahead is cut at the edge, at the height it has there", () => {
    const near = burnUpChart(sampleForecast());
    expect(near?.straight?.to).toEqual([near?.x("2026-03-09"), 0]);
    const far = burnUpChart(sampleForecast({ straight_line: "2028-01-01" }));
    expect(far?.last).toBe("2026-03-27");
    const { from, to } = far?.straight ?? { from: [0, 0], to: [0, 0] };
    expect(to[0]).toBe(BURN_UP.width);
    const whole = ((to[1] - from[1]) / (to[0] - from[0])) * ((far?.x("2028-01-01") ?? 0) - from[0]) + from[1];
    expect(whole).toBeCloseTo(0, 6);
  });

  it("last season is drawn as far as the picture goes, by its own trees", () => {
    const before = [["2026-01-01", 10], ["2026-01-12", 500], ["2026-02-10", 5000], ["2026-03-01", 20_000], ["2026-04-30", 9000]] as const;
    const chart = burnUpChart(sampleForecast(), before.map(([day, trees]) => [day, trees]));
    expect(pairs(chart?.before ?? "").map(([x]) => x)).toEqual(["2026-01-12", "2026-02-10"].map((day) => Number(chart?.x(day).toFixed(1))));
    expect(burnUpChart(sampleForecast())?.before).toBe("");
  });

  it("is none before there is a day or a tree, and has no fan before there is a forecast", () => {
    expect(burnUpChart(sampleForecast({ burnup: [], fan: [] }))).toBeNull();
    expect(burnUpChart(sampleForecast({ trees: 0 }))).toBeNull();
    const begun = burnUpChart(sampleForecast({ fan: [], finish: null, straight_line: null, must_finish_on: null }));
    expect([begun?.fan, begun?.straight, begun?.must_x]).toEqual([null, null, null]);
    expect(burnUpChart(sampleForecast({ burnup: [] }))?.first).toBe("2026-01-21");
  });
});

it("words above the chart never run into each other in one row, and never over the right edge", () => {
  const days = [0, 40, 300, 690, 700].map((x, at) => ({ name: `d${at}`, day: "2026-03-20", x, letters: 18 }));
  const placed = labelRows(days, 720);
  expect(placed).toHaveLength(5);
  const span = ({ x, anchor }: (typeof placed)[number]): [number, number] => (anchor === "end" ? [x - 144, x] : [x, x + 144]);
  for (const one of placed) {
    expect(span(one)[1]).toBeLessThanOrEqual(720);
    for (const other of placed) {
      if (one === other || one.row !== other.row) continue;
      expect(span(one)[1] < span(other)[0] || span(other)[1] < span(one)[0]).toBe(true);
    }
  }
  expect(placed.find(({ name }) => name === "d2")?.row).toBe(0);
});

it("months are told by their first days, over the turn of a year and from the 31st too", () => {
  expect(monthsBetween("2025-11-30", "2026-02-01")).toEqual(["2025-12-01", "2026-01-01", "2026-02-01"]);
  expect(monthsBetween("2026-01-31", "2026-02-28")).toEqual(["2026-02-01"]);
  expect(monthsBetween("2026-01-01", "2026-01-31")).toEqual(["2026-01-01"]);
});

describe("what earlier forecasts said", () => {
  it("ends with the one of now, has later days higher, and one that says never runs out of the picture", () => {
    const chart = driftChart(sampleForecast());
    expect(chart?.said.map(({ day, isOpen }) => [day, isOpen])).toEqual([["2026-01-13", true], ["2026-01-19", false], ["2026-01-21", false]]);
    expect(chart?.said[0]).toMatchObject({ x: 0, high_y: 0 });
    expect(chart?.said.at(-1)?.x).toBe(DRIFT.width);
    for (const { low_y, likely_y, high_y } of chart?.said ?? []) expect([high_y, likely_y, low_y]).toEqual([low_y, likely_y, high_y].sort((a, b) => (a ?? 0) - (b ?? 0)));
    expect(chart?.must_y).toBeGreaterThan(0);
  });

  it("is none before there are two evenings", () => {
    expect(driftChart(sampleForecast({ earlier: [] }))).toBeNull();
    expect(driftChart(sampleForecast({ earlier: [], finish: null }))).toBeNull();
  });
});
