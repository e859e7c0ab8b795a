/** The numbers that rows are laid by: spacings, bearing, or two points along row 1. */

import { bearingBetween_deg } from "../../core/plan-frame";
import { PLANTING_FIELDS, plantingOf, plantingProblems, UNTYPED, type FirstRow, type PlantingField, type PlantingText } from "../../core/planting";
import { GROUND } from "../../core/ground-wording";
import type { Planting } from "../../core/import-contracts";
import { IMPORT } from "../../core/set-up-wording";
import { fill, h } from "../../ui/dom";
import { textField } from "../../ui/field";
import type { GroundPlan } from "./ground-plan";
import { pickTwo } from "./pick-points";

export interface PlantingFields {
  box: HTMLElement;
  /** The planting, or null where a number is missing; what is wrong stands at the fields. */
  planting(): Planting | null;
}

const LABEL: Record<PlantingField, string> = {
  row_spacing_m: IMPORT.rowSpacing,
  tree_spacing_m: IMPORT.treeSpacing,
  end_offset_m: IMPORT.endOffset,
  first_row_offset_m: IMPORT.firstRowOffset,
  headland_m: IMPORT.headland,
  bearing_deg: IMPORT.bearing,
};

/** Return a planting as it would be typed. */
function typedOf(planting: Planting): PlantingText {
  const exact = (value: number): string => String(Number(value.toFixed(3)));
  return Object.fromEntries(PLANTING_FIELDS.map((field) => [field, exact(planting[field])])) as PlantingText;
}

/** Return the fields, beginning with a planting where there is one. */
export function plantingFields(known: Planting | null, plan: GroundPlan): PlantingFields {
  const typed: PlantingText = known === null ? { ...UNTYPED } : typedOf(known);
  let firstRow: FirstRow | null = known?.first_row ?? null;
  const fields = PLANTING_FIELDS.map((key) => {
    const field = textField(LABEL[key], typed[key], { inputmode: "decimal", "data-key": `planting-${key}` });
    field.input.addEventListener("input", () => {
      typed[key] = field.input.value;
    });
    return { key, field };
  });
  const points = h("div", { class: "points" });
  const draw = (): void => {
    const picking = pickTwo(plan, { button: GROUND.bearingPoints, first: GROUND.bearingFirst, second: GROUND.bearingSecond }, (a, b) => {
      firstRow = [a, b];
      draw();
    });
    const drop = (): void => {
      firstRow = null;
      draw();
    };
    fill(
      points,
      firstRow === null ? null : h("p", {}, IMPORT.pointsSet(bearingBetween_deg(...firstRow))),
      picking,
      firstRow === null ? null : h("button", { type: "button", on: { click: drop } }, IMPORT.dropPoints),
    );
    for (const { key, field } of fields) field.input.disabled = firstRow !== null && (key === "bearing_deg" || key === "first_row_offset_m");
  };
  draw();
  return {
    box: h("div", {}, h("div", { class: "ground-fields" }, ...fields.map(({ field }) => field.box)), points),
    planting() {
      const problems = plantingProblems(typed, firstRow);
      for (const { key, field } of fields) field.complain(problems[key] ?? "");
      if (Object.keys(problems).length > 0) return null;
      const made = plantingOf(typed, firstRow);
      // what has no field here stays as it was
      const { min_row_length_m, lines_per_row, pair_spacing_m } = known ?? made;
      return { ...made, min_row_length_m, lines_per_row, pair_spacing_m };
    },
  };
}
