/** The choice of a plan: the farm's own, by published tables, or by two promises. */

import { typedNumber, typeable } from "../../core/numbers";
import { measureText } from "../../core/typed-measure";
import type { AskedPlan, LotPlan } from "../../core/quality-contracts";
import { NEW_LOT } from "../../core/quality-wording";
import { fill, h } from "../../ui/dom";
import { choiceField, radioGroup, textField, type Field } from "../../ui/field";

/** Levels and acceptable shares of the published tables (MIL-STD-105E, Table I and the heads of Tables II). */
const LEVELS = ["S-1", "S-2", "S-3", "S-4", "I", "II", "III"] as const;
const AQLS = [0.01, 0.015, 0.025, 0.04, 0.065, 0.1, 0.15, 0.25, 0.4, 0.65, 1, 1.5, 2.5, 4, 6.5, 10] as const;

type Kind = keyof typeof NEW_LOT.kinds;
export interface PlanFields {
  box: HTMLElement;
  /** Null: the farm's plan. Not there, and said at the field, where something typed cannot be. */
  read(): AskedPlan | null | undefined;
  /** Begin from a plan that is known, where nothing was chosen yet. */
  suggest(plan: LotPlan): void;
}

interface KindFields {
  box: HTMLElement;
  read(): AskedPlan | undefined;
  suggest(plan: LotPlan): void;
}

function tableFields(changed: () => void): KindFields {
  const level = choiceField(NEW_LOT.level, LEVELS.map((value) => ({ value, label: value })), "I", NEW_LOT.levelHint);
  const aql = choiceField(NEW_LOT.aql, AQLS.map((value) => ({ value: String(value), label: measureText(value) })), "4", NEW_LOT.aqlHint);
  for (const { input } of [level, aql]) input.addEventListener("change", changed);
  return {
    box: h("div", { class: "plan-kind" }, h("p", {}, NEW_LOT.tablesLead), level.box, aql.box),
    read: () => ({ kind: "attributes", level: level.input.value, aql: Number(aql.input.value) }),
    suggest(plan) {
      if (plan.kind !== "attributes") return;
      level.input.value = plan.level;
      aql.input.value = String(plan.aql);
    },
  };
}

function promiseFields(changed: () => void): KindFields {
  const numbers = { inputmode: "decimal", maxlength: 6 };
  const fields: Record<"p1" | "pa1" | "p2" | "pa2", Field<HTMLInputElement>> = {
    p1: textField(NEW_LOT.p1, "5", numbers),
    pa1: textField(NEW_LOT.pa1, "95", numbers),
    p2: textField(NEW_LOT.p2, "15", numbers),
    pa2: textField(NEW_LOT.pa2, "10", numbers),
  };
  for (const { input } of Object.values(fields)) input.addEventListener("input", changed);
  const share = (field: Field<HTMLInputElement>): number | undefined => {
    const typed = typedNumber(field.input.value);
    const well = typed !== null && typed > 0 && typed < 100;
    field.complain(well ? "" : NEW_LOT.needsHundred);
    return well ? typed / 100 : undefined;
  };
  return {
    box: h("div", { class: "plan-kind" }, h("p", {}, NEW_LOT.promisesLead), h("div", { class: "form" }, ...Object.values(fields).map(({ box }) => box))),
    read() {
      const [p1, pa1, p2, pa2] = [share(fields.p1), share(fields.pa1), share(fields.p2), share(fields.pa2)];
      if (p1 === undefined || pa1 === undefined || p2 === undefined || pa2 === undefined) return undefined;
      const isBad = p2 > p1 && pa2 < pa1;
      fields.p2.complain(isBad ? "" : NEW_LOT.needsBad);
      return isBad ? { kind: "two_points", p1, pa1, p2, pa2 } : undefined;
    },
    suggest(plan) {
      if (plan.kind !== "two_points") return;
      for (const name of ["p1", "pa1", "p2", "pa2"] as const) fields[name].input.value = typeable(100 * plan[name]);
    },
  };
}

/** Return the fields; `changed` hears of every change. */
export function planFields(changed: () => void): PlanFields {
  let kind: Kind = "farm";
  const kinds = { attributes: tableFields(changed), two_points: promiseFields(changed) };
  const more = h("div", {});
  const choices = (Object.keys(NEW_LOT.kinds) as Kind[]).map((value) => ({ value, label: NEW_LOT.kinds[value] }));
  const radios = radioGroup(NEW_LOT.planKind, choices, kind, (value) => {
    kind = value as Kind;
    fill(more, kind === "farm" ? null : kinds[kind].box);
    changed();
  });
  return {
    box: h("div", { class: "plan-fields" }, radios.box, more),
    read: () => (kind === "farm" ? null : kinds[kind].read()),
    suggest(plan) {
      if (kind === "farm") kinds[plan.kind].suggest(plan);
    },
  };
}
