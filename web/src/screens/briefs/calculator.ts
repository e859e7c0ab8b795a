/** From the yield goal to the buds to leave: asks, lets the service work it out, and says how in words. */

import { calcJob, calcKeys, type CalcAnswer, type CalcChoice, type CalcJob, type CalcKey } from "../../core/brief-calc";
import type { BudTarget } from "../../core/brief-contracts";
import { CALC_FIELD, TARGET } from "../../core/briefs-wording";
import { measure } from "../../core/numbers";
import { SHELL } from "../../core/wording";
import type { BriefsApi } from "../../data/briefs-api";
import { sentence } from "../../data/request";
import { fill, h } from "../../ui/dom";
import { radioGroup, textField, type Field } from "../../ui/field";
import { notice } from "../../ui/notice";

function workingWords({ units }: CalcChoice, job: CalcJob, answer: CalcAnswer): string {
  const said = (key: CalcKey): string => measure(job[key] ?? 0);
  const goal =
    units === "metric"
      ? TARGET.goal.metric(said("yield_t_per_ha"), said("fruit_mass_g"))
      : TARGET.goal.acres(said("yield_bu_per_acre"), said("fruit_per_bushel"));
  const buds = measure(answer.buds_per_tree);
  const allowed =
    job.insurance_factor === undefined
      ? TARGET.byShare(measure((job.floral_share ?? 0) * 100), buds)
      : TARGET.byFactor(said("insurance_factor"), buds);
  const perLimb = answer.buds_per_limb === undefined ? "" : TARGET.perLimb(said("limbs_per_tree"), measure(answer.buds_per_limb));
  return [goal, TARGET.perTree(measure(answer.fruit_per_tree)), allowed, perLimb].filter(Boolean).join(" ");
}

function choices<Value extends string>(words: Record<Value, string>): { value: string; label: string }[] {
  return Object.entries<string>(words).map(([value, label]) => ({ value, label }));
}

/** Return the calculator, folded; `use` is told the target it came to. */
export function calculator(api: BriefsApi, use: (target: Partial<BudTarget>) => void): HTMLElement {
  const choice: CalcChoice = { units: "metric", density: "trees", allowance: "insurance_factor" };
  const fields = new Map<CalcKey, Field<HTMLInputElement>>();
  const asked = h("div", { class: "form", on: { input: () => fill(result) } }); // an answer to other numbers is none
  const result = h("div", { class: "calc-result" });
  const said = notice();
  const draw = (): void => {
    fill(
      asked,
      ...calcKeys(choice).map((key) => {
        const field = fields.get(key) ?? textField(CALC_FIELD[key], "", { inputmode: "decimal" }, key === "limbs_per_tree" ? TARGET.mayBeEmpty : "");
        fields.set(key, field);
        return field.box;
      }),
    );
    fill(result);
  };
  const group = <Key extends keyof CalcChoice>(key: Key, legend: string, words: Record<CalcChoice[Key], string>): HTMLElement =>
    radioGroup(legend, choices(words), choice[key], (value) => {
      choice[key] = value as CalcChoice[Key];
      draw();
    }).box;
  const take = (job: CalcJob, answer: CalcAnswer): void => {
    const { fruit_per_tree, buds_per_tree } = answer;
    const limbs = job.limbs_per_tree === undefined ? {} : { limbs_per_tree: job.limbs_per_tree }; // not asked, they stay as they are
    // a crew counts whole apples; buds are whole already
    use({ fruit_per_tree: Math.round(fruit_per_tree), buds_per_tree, buds_per_limb: null, ...limbs });
    said.say(TARGET.used, "good");
  };
  const run = async (event: Event): Promise<void> => {
    event.preventDefault();
    said.say("");
    const found = calcJob(choice, Object.fromEntries([...fields].map(([key, { input }]) => [key, input.value])));
    const missing = "missing" in found ? found.missing : [];
    for (const [key, field] of fields) field.complain(missing.includes(key) ? (key === "floral_share" ? TARGET.missingShare : TARGET.missing) : "");
    if ("missing" in found) return fields.get(missing[0] ?? "limbs_per_tree")?.input.focus();
    try {
      const answer = await api.cropLoad(found.job);
      const button = h("button", { type: "button", class: "main", on: { click: () => take(found.job, answer) } }, TARGET.use);
      fill(result, h("p", { role: "status" }, workingWords(choice, found.job, answer)), button);
    } catch (error) {
      said.say(sentence(error, SHELL.noAnswer), "bad");
    }
  };
  draw();
  return h(
    "details",
    {},
    h("summary", {}, TARGET.calc),
    h(
      "form",
      { novalidate: true, on: { submit: (event: Event) => void run(event) } },
      group("units", TARGET.units, TARGET.unitsOf),
      group("density", TARGET.density, TARGET.densityOf),
      group("allowance", TARGET.allowance, TARGET.allowanceOf),
      asked,
      h("button", { type: "submit" }, TARGET.run),
    ),
    result,
    said.box,
  );
}
