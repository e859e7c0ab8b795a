/** The form of pay rules: nothing in it is suggested. */

import { moneyField } from "../../core/pay-money";
import type { PayPeriod, PayRules } from "../../core/pay-contracts";
import { rulesText, typedRules, type RateText, type RuleField, type RulesText, type WageText } from "../../core/pay-rules";
import { PAY, PAY_PART_WORD } from "../../core/pay-wording";
import { METHOD, SHELL } from "../../core/wording";
import { sentence } from "../../data/request";
import { fill, h } from "../../ui/dom";
import { atEdge } from "../../ui/edges";
import { choiceField, textField, type Field } from "../../ui/field";
import { notice } from "../../ui/notice";
import { deskDraft, dropButton, reading, type Desk, type Part } from "./desk";

type Fields = Partial<Record<RuleField, Field<HTMLInputElement>>>;
interface RulesDraft {
  text: RulesText;
  /** That of the rules it was made from: what somebody saved meanwhile is not overwritten. */
  revision: number;
}
interface Line<Text> {
  box: HTMLElement;
  fields: Fields;
  read(): Text;
}

function day(label: string, value: string): Field<HTMLInputElement> {
  return textField(label, value, { type: "date" });
}

function rateLine({ context }: Desk, n: number, text: RateText, remove: () => void): Line<RateText> {
  const per = choiceField(PAY.per, [{ value: "tree", label: PAY.perTree }, { value: "hour", label: PAY.perHour }], text.per);
  const rate = textField(PAY.rate, text.rate, { inputmode: "decimal", maxlength: 16 });
  const varieties = context.farm.varieties.map(({ id, name }) => ({ value: id, label: name }));
  const variety = choiceField(PAY.variety, [{ value: "", label: PAY.anyVariety }, ...varieties], text.variety);
  const methods = Object.entries(METHOD).map(([value, label]) => ({ value, label }));
  const method = choiceField(PAY.method, [{ value: "", label: PAY.anyMethod }, ...methods], text.method);
  const [first, last] = [day(PAY.from, text.first), day(PAY.until, text.last)];
  return {
    box: lineBox(PAY.rateN(n), [per, rate, variety, method, first, last], remove),
    fields: { rate, rate_days: last, rate_shared: last },
    read: () => ({
      per: per.input.value === "hour" ? "hour" : "tree",
      rate: rate.input.value,
      variety: variety.input.value,
      method: method.input.value as RateText["method"],
      first: first.input.value,
      last: last.input.value,
    }),
  };
}

function wageLine(n: number, text: WageText, remove: () => void): Line<WageText> {
  const amount = textField(PAY.perHourField, text.per_hour, { inputmode: "decimal", maxlength: 16 });
  const [first, last] = [day(PAY.from, text.first), day(PAY.until, text.last)];
  return {
    box: lineBox(PAY.wageN(n), [amount, first, last], remove, "pay-rule pay-wage"),
    fields: { per_hour: amount, wage_days: last, wage_shared: last },
    read: () => ({ per_hour: amount.input.value, first: first.input.value, last: last.input.value }),
  };
}

function lineBox(name: string, fields: readonly Field<HTMLElement>[], remove: () => void, look = "pay-rule"): HTMLElement {
  const button = h("button", { type: "button", "aria-label": `${PAY.remove}: ${name}`, on: { click: remove } }, PAY.remove);
  return h("fieldset", { class: look }, h("legend", {}, name), ...fields.map(({ box }) => box), button);
}

interface Lines<Text> {
  box: HTMLElement;
  lines: Line<Text>[];
}

/** Return a list of lines to which one can be added and of which any can be taken out; `changed` is told of both. */
function linesOf<Text>(texts: readonly Text[], another: string, bare: Text, changed: () => void, make: (n: number, text: Text, remove: () => void) => Line<Text>): Lines<Text> {
  const made: Lines<Text> = { box: h("div", {}), lines: [] };
  const draw = (now: readonly Text[], focus = false): void => {
    const takeOut = (at: number) => (): void => {
      draw(made.lines.filter((_, n) => n !== at).map((line) => line.read()));
      made.box.querySelector<HTMLElement>(":scope > button")?.focus();
      changed();
    };
    const addOne = (): void => {
      draw([...made.lines.map((line) => line.read()), bare], true);
      changed();
    };
    made.lines = now.map((text, at) => make(at + 1, text, takeOut(at)));
    fill(made.box, ...made.lines.map(({ box }) => box), h("button", { type: "button", on: { click: addOne } }, another));
    if (focus) made.lines.at(-1)?.box.querySelector<HTMLElement>("input,select")?.focus();
  };
  draw(texts);
  return made;
}

function check(label: string, isOn: boolean): { box: HTMLElement; input: HTMLInputElement } {
  const input = h("input", { type: "checkbox" });
  input.checked = isOn;
  return { box: h("label", { class: "radio" }, input, h("span", {}, label)), input };
}

function period(label: string, value: PayPeriod): Field<HTMLSelectElement> {
  return choiceField(label, [{ value: "day", label: PAY.byDay }, { value: "week", label: PAY.byWeek }], value);
}

const BARE_RATE: RateText = { per: "tree", rate: "", variety: "", method: "", first: "", last: "" };
const BARE_WAGE: WageText = { per_hour: "", first: "", last: "" };

function rulesForm(desk: Desk, text: RulesText, changed: () => void) {
  const amount = (label: string, value: string, hint = ""): Field<HTMLInputElement> => textField(label, value, { inputmode: "decimal", maxlength: 16 }, hint);
  const currency = textField(PAY.currency, text.currency, { maxlength: 3, autocapitalize: "characters" }, PAY.currencyHint);
  const rates = linesOf(text.rates, PAY.another, BARE_RATE, changed, (n, one, remove) => rateLine(desk, n, one, remove));
  const wages = linesOf(text.minimum_wage, PAY.anotherWage, BARE_WAGE, changed, wageLine);
  const floor = period(PAY.floorPeriod, text.floor_period);
  const week = choiceField(PAY.weekStarts, Object.entries(PAY.weekday).map(([value, label]) => ({ value, label })), text.week_starts);
  const restPaid = check(PAY.restPaid, text.rest_paid);
  const restOver = period(PAY.restOver, text.rest_rate_over);
  const restInFloor = check(PAY.restInFloor, text.rest_in_floor);
  const after = amount(PAY.overtimeAfter, text.overtime_after_h);
  const percent = amount(PAY.overtimePercent, text.overtime_percent);
  const returns = check(PAY.returnsPaid, text.returns_paid);
  const bonus = amount(PAY.bonus, text.bonus_per_tree);
  const bonusInFloor = check(PAY.bonusInFloor, text.bonus_in_floor);
  const rounding = choiceField(PAY.rounding, Object.entries(PAY.roundingOf).map(([value, label]) => ({ value, label })), text.rounding);
  const step = amount(PAY.step, text.rounding_step, PAY.stepHint);
  const own: Fields = { currency, rounding_step: step, bonus_per_tree: bonus, overtime_after_h: after, overtime_percent: percent };
  const group = (title: string, ...boxes: HTMLElement[]): HTMLElement => h("section", {}, h("h3", {}, title), ...boxes);
  return {
    boxes: [
      h("div", { class: "form" }, currency.box),
      group(PAY.rates, rates.box),
      group(PAY.floor, h("p", { class: "pay-lead" }, PAY.floorLead), wages.box, h("div", { class: "form" }, floor.box, week.box)),
      group(PAY.rest, restPaid.box, h("div", { class: "form" }, restOver.box), restInFloor.box, h("div", { class: "form" }, after.box, percent.box)),
      group(PAY.more, returns.box, h("div", { class: "form" }, bonus.box), bonusInFloor.box, h("div", { class: "form" }, rounding.box, step.box)),
    ],
    fieldsOf: (field: RuleField, line: number): Field<HTMLInputElement> | undefined =>
      own[field] ?? rates.lines[line]?.fields[field] ?? wages.lines[line]?.fields[field],
    allFields: () => [own, ...rates.lines.map(({ fields }) => fields), ...wages.lines.map(({ fields }) => fields)].flatMap((some) => Object.values(some)),
    read: (): RulesText => ({
      currency: currency.input.value,
      rounding: rounding.input.value as PayRules["rounding"],
      rounding_step: step.input.value,
      rates: rates.lines.map((line) => line.read()),
      minimum_wage: wages.lines.map((line) => line.read()),
      floor_period: floor.input.value as PayPeriod,
      week_starts: week.input.value,
      returns_paid: returns.input.checked,
      bonus_per_tree: bonus.input.value,
      bonus_in_floor: bonusInFloor.input.checked,
      rest_paid: restPaid.input.checked,
      rest_rate_over: restOver.input.value as PayPeriod,
      rest_in_floor: restInFloor.input.checked,
      overtime_after_h: after.input.value,
      overtime_percent: percent.input.value,
    }),
  };
}

/** Show the part. */
export const showRules: Part = (root, desk) => {
  const box = h("div", {});
  fill(root, h("h2", {}, PAY_PART_WORD.rules), h("p", { class: "pay-lead" }, PAY.rulesLead), box);
  void reading(box, desk, () => desk.api.rules(desk.farm), (kept) => {
    const draft = deskDraft<RulesDraft>(desk, "rules");
    let revision = draft.read()?.revision ?? kept.revision;
    const said = notice();
    const standing = JSON.stringify(rulesText(kept.rules, moneyField));
    const drop = dropButton(() => {
      draft.keep(null);
      showRules(root, desk);
    });
    const changed = (): void => {
      const text = form.read();
      const isSame = JSON.stringify(text) === standing && revision === kept.revision;
      draft.keep(isSame ? null : { text, revision });
      drop.hidden = isSame;
      said.say(isSame ? "" : PAY.unsavedRules);
    };
    const form = rulesForm(desk, draft.read()?.text ?? rulesText(kept.rules, moneyField), changed);
    const save = async (event: Event): Promise<void> => {
      event.preventDefault();
      for (const field of form.allFields()) field.complain("");
      const typed = typedRules(form.read());
      if ("field" in typed) {
        const field = form.fieldsOf(typed.field, typed.line);
        field?.complain(PAY.fault(typed.field));
        return field?.input.focus();
      }
      try {
        ({ revision } = await desk.api.saveRules(desk.farm, revision, typed));
        draft.keep(null);
        drop.hidden = true;
        said.say(`${PAY.saved} ${PAY.rulesChanged}`, "good");
      } catch (error) {
        said.say(sentence(error, SHELL.noAnswer), "bad");
      }
    };
    fill(
      box,
      h(
        "form",
        { class: "pay-rules", novalidate: true, on: { submit: (event: Event) => void save(event), input: changed } },
        ...form.boxes,
        atEdge("bottom", h("div", { class: "pay-save" }, h("button", { type: "submit", class: "main" }, PAY.save), drop, said.box)),
      ),
    );
    if (draft.read() !== null) changed();
  });
};
