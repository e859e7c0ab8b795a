import { describe, expect, it } from "vitest";
import { levelled, levelsOf } from "../../src/core/plan-levels";
import type { Span } from "../../src/core/plan-queues";

const spans = (...days: [from: number, to: number][]): Span[] => days.map(([from, to], n) => ({ block: `k${n}`, from, to }));

describe("a board of the whole season", () => {
  it("keeps long bars where they are, on one level", () => {
    expect(levelled(spans([0, 4], [4, 9], [9, 20]), 20, 3)).toEqual([
      { from: 0, to: 4, level: 0, share: 1 },
      { from: 4, to: 9, level: 0, share: 1 },
      { from: 9, to: 20, level: 0, share: 1 },
    ]);
  });
  it("draws a short one wide enough to be touched, and what it would cover a level down", () => {
    expect(levelled(spans([0, 0.5], [0.5, 6], [6, 7]), 20, 2)).toEqual([
      { from: 0, to: 2, level: 0, share: 0.25 },
      { from: 0.5, to: 6, level: 1, share: 1 },
      { from: 6, to: 8, level: 0, share: 0.5 },
    ]);
  });
  it("keeps what ends last, or beyond the days that are known, on the board", () => {
    expect(levelled(spans([19.5, 20], [20, 90]), 20, 2).map(({ from, to }) => [from, to])).toEqual([[18, 20], [18, 20]]);
    expect(levelsOf([])).toBe(1);
  });
  it("never lays one bar over another, and centres stay in the order of the queue", () => {
    let seed = 5;
    const random = (): number => (seed = (seed * 48_271) % 2_147_483_647) / 2_147_483_647;
    for (let round = 0; round < 300; round += 1) {
      let at = 0;
      const days = Array.from({ length: Math.floor(random() * 30) }, (): [number, number] => {
        const from = at + (random() < 0.3 ? random() * 4 : 0);
        at = from + random() * (random() < 0.5 ? 0.4 : 6);
        return [from, at];
      });
      const width = Math.ceil(at) + 3;
      const bars = levelled(spans(...days), width, 1 + random() * 3);
      for (const [n, bar] of bars.entries()) {
        expect(bar.from).toBeGreaterThanOrEqual(0);
        expect(bar.to).toBeLessThanOrEqual(width + 1e-9);
        for (const other of bars.slice(0, n)) {
          expect(other.level !== bar.level || other.to <= bar.from + 1e-9).toBe(true);
          expect((other.from + other.to) / 2).toBeLessThanOrEqual((bar.from + bar.to) / 2 + 1e-9);
        }
      }
    }
  });
});
