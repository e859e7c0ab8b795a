/** The bud target: what to leave on an average tree, typed or worked out. */

import type { BudTarget } from "../../core/brief-contracts";
import { TARGET, TARGET_PART } from "../../core/briefs-wording";
import { typedNumber } from "../../core/numbers";
import type { BriefsApi } from "../../data/briefs-api";
import { h } from "../../ui/dom";
import { textField } from "../../ui/field";
import { calculator } from "./calculator";
import type { Desk } from "./desk";

type Part = keyof BudTarget;

/** Return what is typed: a number above zero, null for none, or what is wrong with it. */
function typed(part: Part, text: string): { value: number | null } | { fault: string } {
  if (text.trim() === "") return { value: null };
  const value = typedNumber(text);
  if (value === null || value <= 0) return { fault: TARGET.noNumber };
  if (part === "limbs_per_tree" && !Number.isInteger(value)) return { fault: TARGET.notWhole };
  return { value };
}

/** Return the part; `counts` makes the section of what was counted, told whom to hand the limbs a tree that are taken over. */
export function targetPart(desk: Desk, api: BriefsApi, counts: (use: (limbsPerTree: number) => void) => HTMLElement): HTMLElement {
  const take = (change: Partial<BudTarget>): void => desk.change({ bud_target: { ...desk.content().bud_target, ...change } });
  const fields = (Object.keys(TARGET_PART) as Part[]).map((part) => {
    const field = textField(TARGET_PART[part], String(desk.content().bud_target[part] ?? ""), { inputmode: "decimal" });
    field.input.addEventListener("input", () => {
      const found = typed(part, field.input.value);
      field.complain("fault" in found ? found.fault : "");
      if ("value" in found) take({ [part]: found.value });
    });
    return { part, field };
  });
  const use = (target: Partial<BudTarget>): void => {
    take(target);
    for (const { part, field } of fields) {
      field.input.value = String(desk.content().bud_target[part] ?? "");
      field.complain("");
    }
  };
  return h(
    "section",
    { class: "bud-target" },
    h("h2", {}, TARGET.title),
    h("p", {}, TARGET.lead),
    h("div", { class: "form" }, ...fields.map(({ field }) => field.box)),
    calculator(api, use),
    counts((limbs) => use({ limbs_per_tree: Math.round(limbs) })), // of a tree there are whole limbs
  );
}
