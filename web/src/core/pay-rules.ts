/** The form of pay rules: what stands in its fields, and the rules it becomes, or what is wrong where. */

import type { Method } from "./contracts";
import type { PayPeriod, PayRules, RateRule, WageRule } from "./pay-contracts";
import { percentOf, shareOf, typedMoney } from "./pay-money";

export interface RateText {
  per: "tree" | "hour";
  rate: string;
  variety: string;
  method: "" | Method;
  first: string;
  last: string;
}
export interface WageText {
  per_hour: string;
  first: string;
  last: string;
}
export interface RulesText {
  currency: string;
  rounding: PayRules["rounding"];
  rounding_step: string;
  rates: RateText[];
  minimum_wage: WageText[];
  floor_period: PayPeriod;
  week_starts: string;
  returns_paid: boolean;
  bonus_per_tree: string;
  bonus_in_floor: boolean;
  rest_paid: boolean;
  rest_rate_over: PayPeriod;
  rest_in_floor: boolean;
  overtime_after_h: string;
  overtime_percent: string;
}
/** A field of the form: its name, and of a line of a table its number. */
export type RuleField = "currency" | "rounding_step" | "bonus_per_tree" | "overtime_after_h" | "overtime_percent" | "rate" | "per_hour" | "rate_days" | "wage_days" | "rate_shared" | "wage_shared";
export interface RuleFault {
  field: RuleField;
  line: number;
}

/** Return the smallest coin of a currency as the browser knows it, 0.01 where it does not. */
export function smallestCoin(currency: string): string {
  try {
    const digits = new Intl.NumberFormat("en", { style: "currency", currency }).resolvedOptions().maximumFractionDigits ?? 2;
    return digits === 0 ? "1" : `0.${"1".padStart(digits, "0")}`;
  } catch {
    return "0.01";
  }
}

function turned(first: string, last: string): boolean {
  return first !== "" && last !== "" && last < first;
}

interface Held {
  first: string | null;
  last: string | null;
}

function meet(one: Held, other: Held): boolean {
  return (one.first ?? "") <= (other.last ?? "9999") && (other.first ?? "") <= (one.last ?? "9999");
}

/** Return the number of the first line that shares days with one before it for the same, or -1. */
function sharing<Line extends Held>(lines: readonly Line[], isSame: (one: Line, other: Line) => boolean): number {
  return lines.findIndex((line, at) => lines.slice(0, at).some((before) => isSame(before, line) && meet(before, line)));
}

/** Return the rules that the form says, or the first thing that is wrong. */
export function typedRules(text: RulesText): PayRules | RuleFault {
  const fault = (field: RuleField, line = 0): RuleFault => ({ field, line });
  const currency = text.currency.trim().toUpperCase();
  if (!/^[A-Z]{3}$/.test(currency)) return fault("currency");
  const step = text.rounding_step.trim() === "" ? smallestCoin(currency) : typedMoney(text.rounding_step);
  if (step === null || Number(step) <= 0) return fault("rounding_step");
  const rates: RateRule[] = [];
  for (const [line, { per, rate, variety, method, first, last }] of text.rates.entries()) {
    const amount = typedMoney(rate);
    if (amount === null) return fault("rate", line);
    if (turned(first, last)) return fault("rate_days", line);
    rates.push({ per, rate: amount, variety: variety || null, method: method || null, first: first || null, last: last || null });
  }
  const wages: WageRule[] = [];
  for (const [line, { per_hour, first, last }] of text.minimum_wage.entries()) {
    const amount = typedMoney(per_hour);
    if (amount === null) return fault("per_hour", line);
    if (turned(first, last)) return fault("wage_days", line);
    wages.push({ per_hour: amount, first: first || null, last: last || null });
  }
  const twice = sharing(rates, (one, other) => one.variety === other.variety && one.method === other.method);
  if (twice >= 0) return fault("rate_shared", twice);
  const wageTwice = sharing(wages, () => true);
  if (wageTwice >= 0) return fault("wage_shared", wageTwice);
  const bonus = text.bonus_per_tree.trim() === "" ? "0" : typedMoney(text.bonus_per_tree);
  if (bonus === null) return fault("bonus_per_tree");
  const after = text.overtime_after_h.trim();
  const percent = typedMoney(text.overtime_percent);
  if (after !== "" && typedMoney(after) === null) return fault("overtime_after_h");
  if (after === "" && text.overtime_percent.trim() !== "") return fault("overtime_after_h");
  if (after !== "" && percent === null) return fault("overtime_percent");
  return {
    currency,
    minor_digits: smallestCoin(currency).split(".")[1]?.length ?? 0,
    rounding: text.rounding,
    rounding_step: step,
    rates,
    minimum_wage: wages,
    floor_period: text.floor_period,
    week_starts: text.week_starts,
    returns_paid: text.returns_paid,
    bonus_per_tree: bonus,
    bonus_in_floor: text.bonus_in_floor,
    rest_paid: text.rest_paid,
    rest_rate_over: text.rest_rate_over,
    rest_in_floor: text.rest_in_floor,
    ...(after === "" || percent === null
      ? {}
      : { overtime_after_h_per_week: typedMoney(after) ?? "0", overtime_premium: shareOf(percent) }),
  };
}

/** Return what stands in the form for rules that are kept; an empty form where nobody said any: nothing is suggested. */
export function rulesText(rules: PayRules | null, shown: (amount: string) => string): RulesText {
  return {
    currency: rules?.currency ?? "",
    rounding: rules?.rounding ?? "half_up",
    rounding_step: rules === null ? "" : shown(rules.rounding_step),
    rates: (rules?.rates ?? []).map(({ per, rate, variety, method, first, last }) => ({
      per,
      rate: shown(rate),
      variety: variety ?? "",
      method: method ?? "",
      first: first ?? "",
      last: last ?? "",
    })),
    minimum_wage: (rules?.minimum_wage ?? []).map(({ per_hour, first, last }) => ({ per_hour: shown(per_hour), first: first ?? "", last: last ?? "" })),
    floor_period: rules?.floor_period ?? "day",
    week_starts: rules?.week_starts ?? "Monday",
    returns_paid: rules?.returns_paid ?? false,
    bonus_per_tree: rules === null || Number(rules.bonus_per_tree) === 0 ? "" : shown(rules.bonus_per_tree),
    bonus_in_floor: rules?.bonus_in_floor ?? false,
    rest_paid: rules?.rest_paid ?? false,
    rest_rate_over: rules?.rest_rate_over ?? "day",
    rest_in_floor: rules?.rest_in_floor ?? true,
    overtime_after_h: rules?.overtime_after_h_per_week === undefined ? "" : shown(rules.overtime_after_h_per_week),
    overtime_percent: rules?.overtime_premium === undefined ? "" : shown(percentOf(rules.overtime_premium)),
  };
}
