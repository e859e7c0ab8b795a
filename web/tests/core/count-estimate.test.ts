/** The tablet's own estimate says what the service would: held to vectors that Python and SciPy made, and to printed figures. */

import { describe, expect, it } from "vitest";
import vectors from "../../../tests/vectors/counting/estimates.json";
import { countEstimate, sampleSize } from "../../src/core/count-estimate";
import { normalQuantile, studentQuantile } from "../../src/core/quantiles";

const near = (value: number | null, expected: number | null): void => {
  if (value === null || expected === null) return expect(value).toBe(expected);
  expect(Math.abs(value - expected)).toBeLessThanOrEqual(1e-6 * Math.max(1, Math.abs(expected)));
};

describe("quantiles", () => {
  it("are SciPy's, of the normal distribution and of Student's t", () => {
    for (const [confidence, quantile] of vectors.normal as [number, number][]) near(normalQuantile(confidence), quantile);
    for (const [confidence, freedom, quantile] of vectors.student as [number, number, number][]) {
      near(studentQuantile(confidence, freedom), quantile);
    }
  });

  // NIST/SEMATECH e-Handbook, section 1.3.6.7.2, column 0.975
  it.each([[1, 12.706], [4, 2.776], [9, 2.262], [29, 2.045]])("of t with %i degrees of freedom are as printed: %f", (freedom, printed) => {
    expect(studentQuantile(0.95, freedom)).toBeCloseTo(printed, 3);
  });
});

describe("the estimate", () => {
  it("is the service's in every case, whatever the farm aims at", () => {
    expect(vectors.estimates.length).toBeGreaterThan(150);
    for (const { counts, rows, trees_in_block, aim, expect: told } of vectors.estimates) {
      const made = countEstimate(counts.map((number, at) => ({ row: rows[at] ?? 0, number })), trees_in_block, aim);
      near(made.mean, told.mean);
      near(made.low, told.low);
      near(made.high, told.high);
      near(made.cv, told.cv);
      expect([made.trees, made.treesNeeded, made.isEnough]).toEqual([told.trees, told.trees_needed, told.is_enough]);
    }
  });

  // computed from the tree-by-tree yields of both trials, to within 15 % at 95 %
  it.each([[0.414, 224, 26, "Batchelor & Reed 1918"], [0.227, 187, 9, "Strickland 1935"]])(
    "asks at a spread of %f in %i trees for %i trees (%s)",
    (cv, trees, needed) => expect(sampleSize(cv, trees)).toBe(needed),
  );

  it("asks for as many as the service where the spread is known", () => {
    for (const [cv, trees, needed] of vectors.sizes as [number, number, number][]) expect(sampleSize(cv, trees)).toBe(needed);
  });
});
