import { describe, expect, it } from "vitest";
import { CHART, chanceAt, fairShare, funnelChart, ocChart, roundTicks, scaleEnd, spanOn } from "../../src/core/quality-charts";
import type { CrewQuality, FarmCrewQuality } from "../../src/core/crew-contracts";
import type { OcPoint } from "../../src/core/quality-contracts";

/** The curve of "check 13, accept 1" by the binomial, written out here: the chart draws what it is told and nothing else. */
const OC: OcPoint[] = Array.from({ length: 61 }, (_, at) => {
  const p = at / 200;
  return [p, (1 - p) ** 13 + 13 * p * (1 - p) ** 12];
});

describe("the curve of a plan", () => {
  it("begins at the top left, where a lot without faulty trees is always accepted, and never rises", () => {
    const chart = ocChart(OC);
    const line = chart.line.split(" ").map((point) => point.split(",").map(Number) as [number, number]);
    expect(line[0]).toEqual([0, 0]);
    expect(line.at(-1)?.[0]).toBe(CHART.width);
    for (let at = 1; at < line.length; at += 1) expect(line[at]?.[1]).toBeGreaterThanOrEqual(line[at - 1]?.[1] ?? 0);
    expect(chart.top).toBe(0.3);
  });

  it("is read between its points in a straight line, at them exactly, and beyond its end as at its end", () => {
    for (const [share, chance] of OC) expect(chanceAt(OC, share)).toBeCloseTo(chance, 12);
    const [low, high] = [OC[10]?.[1] ?? 0, OC[11]?.[1] ?? 0];
    expect(chanceAt(OC, 0.0525)).toBeCloseTo((low + high) / 2, 12);
    expect(chanceAt(OC, 0.9)).toBe(OC.at(-1)?.[1]);
    expect(chanceAt([], 0.1)).toBe(0);
  });
});

describe("round values on an axis", () => {
  it("step by 1, 2 or 5 times a power of ten, from 0 to no more than the top", () => {
    for (const top of [0.013, 0.07, 0.3, 1, 7, 42, 613, 12_345]) {
      const ticks = roundTicks(top);
      expect(ticks[0]).toBe(0);
      expect(Math.max(...ticks)).toBeLessThanOrEqual(top);
      expect(ticks.length).toBeGreaterThan(2);
      expect(ticks.length).toBeLessThan(12);
      const step = (ticks[1] ?? 0) / 10 ** Math.floor(Math.log10(ticks[1] ?? 1));
      expect([1, 2, 5, 10].some((one) => Math.abs(one - step) < 1e-9)).toBe(true);
    }
    expect(roundTicks(0)).toEqual([0]);
  });
});

function crew(name: string, checked: number, faulty: number, ratio: number | null): CrewQuality {
  const wide: [number, number] = [0, 3];
  return { crew_id: name, crew: name, checked, faulty, expected: 0, ratio, near: wide, far: wide, standing: "as_others", words: "", wilson: [0, 1] };
}
const FUNNEL: FarmCrewQuality["funnel"] = [[20, 0, 0.3, 0, 0.45], [100, 0.04, 0.17, 0.02, 0.23], [200, 0.06, 0.15, 0.04, 0.18]];
const told = (...crews: CrewQuality[]): FarmCrewQuality => ({ day: "2026-01-12", cursor: 1, faulty_share: 0.1, crews, funnel: FUNNEL, points: [], habits: [] });

describe("the funnel of crews", () => {
  it("shows a crew's share on the farm's own mix: its ratio times the farm's share", () => {
    expect(fairShare(crew("A", 100, 20, 1.5), 0.1)).toBeCloseTo(0.15, 12);
    expect(fairShare(crew("A", 100, 20, null), 0.1)).toBe(0.2);
    expect(fairShare(crew("A", 0, 0, null), 0.1)).toBe(0);
    expect(fairShare(crew("A", 10, 10, 20), 0.1)).toBe(1);
  });

  it("puts more faulty trees higher and more checks further right, and leaves out who was not checked", () => {
    const chart = funnelChart(told(crew("A", 50, 5, 1), crew("B", 150, 30, 2), crew("C", 0, 0, null)));
    const at = (name: string) => chart?.crews.find((one) => one.crew.crew === name);
    expect(chart?.crews.length).toBe(2);
    expect(at("B")?.y).toBeLessThan(at("A")?.y ?? 0);
    expect(at("B")?.x).toBeGreaterThan(at("A")?.x ?? 0);
    expect(at("A")?.y).toBeCloseTo(chart?.middle_y ?? -1, 9);
  });

  it("keeps the names of crews apart that lie on one spot, and inside of the picture", () => {
    const chart = funnelChart(told(...["North crew", "South crew", "East crew", "West crew"].map((name) => crew(name, 200, 20, 1))));
    const labels = chart?.crews.map(({ label }) => label) ?? [];
    const heights = labels.map(({ y }) => y).sort((a, b) => a - b);
    for (let at = 1; at < heights.length; at += 1) expect((heights[at] ?? 0) - (heights[at - 1] ?? 0)).toBeGreaterThanOrEqual(18);
    expect(labels.every(({ anchor, x }) => anchor === "end" && x < CHART.width)).toBe(true);
  });

  it("is none where nothing was checked", () => {
    expect(funnelChart(told(crew("A", 0, 0, null)))).toBeNull();
    expect(funnelChart({ ...told(crew("A", 10, 1, 1)), faulty_share: null })).toBeNull();
  });
});

describe("an interval on its scale", () => {
  it("lies inside of the scale and can always be seen", () => {
    expect(spanOn([0.1, 0.3], [0, 0.5])).toEqual({ left: 20, width: 40 });
    for (const interval of [[0, 0], [1, 1], [-1, 2], [0.5, 0.5]] as [number, number][]) {
      const { left, width } = spanOn(interval, [0, 1]);
      expect(left).toBeGreaterThanOrEqual(0);
      expect(width).toBeGreaterThanOrEqual(1);
      expect(left + width).toBeLessThanOrEqual(100);
    }
  });

  it("has a scale to the next tenth that holds all of them", () => {
    expect(scaleEnd(0.02)).toBe(0.1);
    expect(scaleEnd(0.2, 0.31)).toBe(0.4);
    expect(scaleEnd(0.3)).toBe(0.3);
    expect(scaleEnd(1)).toBe(1);
  });
});
