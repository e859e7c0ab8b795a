import { describe, expect, it } from "vitest";
import { calcJob, calcKeys, contradicted, sharedOut, type CalcChoice } from "../../src/core/brief-calc";

const METRIC: CalcChoice = { units: "metric", density: "trees", allowance: "insurance_factor" };
const ACRES: CalcChoice = { units: "acres", density: "spacings", allowance: "floral_share" };

describe("the calculator", () => {
  it("asks for the numbers of one way only, so that no job mixes two", () => {
    expect(calcKeys(METRIC)).toEqual(["yield_t_per_ha", "fruit_mass_g", "trees_per_ha", "limbs_per_tree", "insurance_factor"]);
    expect(calcKeys(ACRES)).toEqual(["yield_bu_per_acre", "fruit_per_bushel", "row_spacing_ft", "tree_spacing_ft", "limbs_per_tree", "floral_share"]);
  });

  it("sends what is asked for, and nothing that was typed before another way was chosen", () => {
    const typed = { yield_t_per_ha: "60", fruit_mass_g: "180", trees_per_ha: "3000", insurance_factor: "2,5", yield_bu_per_acre: "800" };
    expect(calcJob(METRIC, typed)).toEqual({ job: { yield_t_per_ha: 60, fruit_mass_g: 180, trees_per_ha: 3000, insurance_factor: 2.5 } });
  });

  it("takes a share in percent, and limbs where they are known", () => {
    const typed = { yield_bu_per_acre: "800", fruit_per_bushel: "100", row_spacing_ft: "12", tree_spacing_ft: "3", floral_share: "84", limbs_per_tree: "18" };
    expect(calcJob(ACRES, typed)).toMatchObject({ job: { floral_share: 0.84, limbs_per_tree: 18 } });
  });

  it("names the fields that hold no number, and sends nothing", () => {
    expect(calcJob(METRIC, { yield_t_per_ha: "much", trees_per_ha: "3000", insurance_factor: "2", limbs_per_tree: "some" })).toEqual({
      missing: ["yield_t_per_ha", "fruit_mass_g", "limbs_per_tree"],
    });
  });
});

it("buds on a limb follow from the tree's, rounded up, and a target that says otherwise is found out", () => {
  const target = { fruit_per_tree: null, buds_per_tree: 200, buds_per_limb: 12, limbs_per_tree: 18 };
  expect(contradicted(target)).toBeNull(); // 11.1
  expect(sharedOut({ ...target, limbs_per_tree: 15 })).toEqual({ ...target, limbs_per_tree: 15, buds_per_limb: 14 });
  expect(contradicted({ ...target, limbs_per_tree: 15 })).toBe(14);
  expect(contradicted({ ...target, buds_per_tree: null })).toBeNull();
  expect(sharedOut({ ...target, limbs_per_tree: null })).toEqual({ ...target, limbs_per_tree: null });
});

it("a goal of a thousand bushels is never one bushel", () => {
  const typed = { yield_bu_per_acre: "1,000", fruit_per_bushel: "100", trees_per_acre: "500", insurance_factor: "2" };
  expect(calcJob({ units: "acres", density: "trees", allowance: "insurance_factor" }, typed)).toEqual({ missing: ["yield_bu_per_acre"] });
});

it("what the service would refuse is said at its field", () => {
  const typed = { yield_t_per_ha: "40", fruit_mass_g: "0", trees_per_ha: "-2000", floral_share: "150" };
  const found = calcJob({ units: "metric", density: "trees", allowance: "floral_share" }, typed);
  expect(found).toEqual({ missing: ["fruit_mass_g", "trees_per_ha", "floral_share"] });
});
