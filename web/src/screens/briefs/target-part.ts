/** The bud target: what to leave on an average tree, typed or worked out. */

import type { BudTarget } from "../../core/brief-contracts";
import { contradicted, sharedOut } from "../../core/brief-calc";
import { TARGET, TARGET_PART } from "../../core/briefs-wording";
import { measure } from "../../core/numbers";
import { measureText, typedMeasure } from "../../core/typed-measure";
import type { BriefsApi } from "../../data/briefs-api";
import { h } from "../../ui/dom";
import { textField } from "../../ui/field";
import { calculator } from "./calculator";
import type { Desk } from "./desk";

type Part = keyof BudTarget;

/** Return what is typed: a number above zero, null for none, or what is wrong with it. */
function typed(part: Part, text: string): { value: number | null } | { fault: string } {
  if (text.trim() === "") return { value: null };
  const value = typedMeasure(text);
  if (value === null || value <= 0) return { fault: TARGET.noNumber };
  if (part === "limbs_per_tree" && !Number.isInteger(value)) return { fault: TARGET.notWhole };
  return { value };
}

/** Return the part; `counts` makes the section of what was counted, told whom to hand the limbs a tree that are taken over. */
export function targetPart(desk: Desk, api: BriefsApi, counts: (use: (limbsPerTree: number) => void) => HTMLElement): HTMLElement {
  const shown = (part: Part): string => {
    const value = desk.content().bud_target[part];
    return value === null ? "" : measureText(value);
  };
  const odd = h("p", { class: "target-odd", role: "status" });
  const sayOdd = (): void => {
    const target = desk.content().bud_target;
    const share = contradicted(target);
    odd.textContent = share === null ? "" : TARGET.odd(measure(target.buds_per_tree ?? 0), measure(target.limbs_per_tree ?? 0), measure(share));
  };
  const take = (change: Partial<BudTarget>): void => {
    desk.change({ bud_target: { ...desk.content().bud_target, ...change } });
    sayOdd();
  };
  const fields = (Object.keys(TARGET_PART) as Part[]).map((part) => {
    const field = textField(TARGET_PART[part], shown(part), { inputmode: "decimal" });
    field.input.addEventListener("input", () => {
      const found = typed(part, field.input.value);
      field.complain("fault" in found ? found.fault : "");
      if ("value" in found) take({ [part]: found.value });
    });
    return { part, field };
  });
  const use = (target: Partial<BudTarget>): void => {
    take(sharedOut({ ...desk.content().bud_target, ...target }));
    for (const { part, field } of fields) {
      field.input.value = shown(part);
      field.complain("");
    }
  };
  sayOdd();
  return h(
    "section",
    { class: "bud-target" },
    h("h2", {}, TARGET.title),
    h("p", {}, TARGET.lead),
    h("div", { class: "form" }, ...fields.map(({ field }) => field.box)),
    odd,
    calculator(api, use),
    counts((limbs) => use({ limbs_per_tree: Math.round(limbs) })), // of a tree there are whole limbs
  );
}
