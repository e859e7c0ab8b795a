/** The bud-target calculator: from what is typed to a job of crop load. */

import type { BudTarget } from "./brief-contracts";
import { typedMeasure } from "./typed-measure";

export type CalcUnits = "metric" | "acres";
export type Density = "trees" | "spacings";
export type Allowance = "insurance_factor" | "floral_share";
export interface CalcChoice {
  units: CalcUnits;
  density: Density;
  allowance: Allowance;
}
export type CalcKey =
  | "yield_t_per_ha" | "fruit_mass_g" | "trees_per_ha" | "row_spacing_m" | "tree_spacing_m"
  | "yield_bu_per_acre" | "fruit_per_bushel" | "trees_per_acre" | "row_spacing_ft" | "tree_spacing_ft"
  | "limbs_per_tree" | Allowance;
export type CalcJob = Partial<Record<CalcKey, number>>;
export interface CalcAnswer {
  fruit_per_tree: number;
  buds_per_tree: number;
  buds_per_limb?: number;
}

/** Return the fields that are asked for, in order. */
export function calcKeys({ units, density, allowance }: CalcChoice): CalcKey[] {
  const goal: CalcKey[] = units === "metric" ? ["yield_t_per_ha", "fruit_mass_g"] : ["yield_bu_per_acre", "fruit_per_bushel"];
  const places: Record<CalcUnits, Record<Density, CalcKey[]>> = {
    metric: { trees: ["trees_per_ha"], spacings: ["row_spacing_m", "tree_spacing_m"] },
    acres: { trees: ["trees_per_acre"], spacings: ["row_spacing_ft", "tree_spacing_ft"] },
  };
  return [...goal, ...places[units][density], "limbs_per_tree", allowance];
}

/** Return the job, or the fields that hold no number that can be. Limbs may be left out; a share is typed in percent. */
export function calcJob(choice: CalcChoice, typed: Partial<Record<CalcKey, string>>): { job: CalcJob } | { missing: CalcKey[] } {
  const job: CalcJob = {};
  const missing: CalcKey[] = [];
  for (const key of calcKeys(choice)) {
    const text = typed[key] ?? "";
    if (key === "limbs_per_tree" && text.trim() === "") continue;
    const value = typedMeasure(text);
    // what the service would refuse, said at its field
    const isFit = value !== null && value > 0 && (key !== "floral_share" || value <= 100);
    if (isFit) job[key] = key === "floral_share" ? value / 100 : value;
    else missing.push(key);
  }
  return missing.length > 0 ? { missing } : { job };
}

/** Return the buds that each limb gets when a tree's are shared out; null where a number is missing. Buds are whole, and rounded up as by the service. */
export function shareOfLimb({ buds_per_tree, limbs_per_tree }: BudTarget): number | null {
  return buds_per_tree === null || limbs_per_tree === null ? null : Math.ceil(buds_per_tree / limbs_per_tree);
}

/** Return a target whose buds on a limb follow from the tree's where those are known; else as it is. */
export function sharedOut(target: BudTarget): BudTarget {
  return { ...target, buds_per_limb: shareOfLimb(target) ?? target.buds_per_limb };
}

/** Return the share of a limb that a target contradicts by a whole bud or more, or null. */
export function contradicted(target: BudTarget): number | null {
  const share = shareOfLimb(target);
  const { buds_per_limb: told, buds_per_tree: buds, limbs_per_tree: limbs } = target;
  return share === null || told === null || Math.abs(told - (buds ?? 0) / (limbs ?? 1)) < 1 ? null : share;
}
