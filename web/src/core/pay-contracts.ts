/** What the service answers and takes of pay. Money, rates and hours are text where they must stay exact. */

import type { Method } from "./contracts";

export type LineKind = "trees" | "hours" | "other" | "bonus" | "rest" | "top_up" | "overtime";
export type PayPeriod = "day" | "week";
export interface PayLine {
  /** Of a head count: the crew's id, a space and a number. */
  person_id: string;
  crew_id: string;
  /** Or the first day of its week. */
  day: string;
  period: PayPeriod;
  kind: LineKind;
  variety_id: string | null;
  method: Method | null;
  is_return: boolean;
  amount: string;
  /** Fractions, such as 15/2. */
  hours: string;
  rate: string;
  crew_trees: number;
  crew_hours: string;
  crew_amount: string;
  /** Of a correction: what was paid for the same before. */
  paid_before: string | null;
}
export type GapCode =
  | "no_hours"
  | "fewer_hours"
  | "more_hours"
  | "not_in_a_run"
  | "below_zero"
  | "several_crew_days"
  | "shared_alike"
  | "hours_without_pay"
  | "hours_of_other_work"
  | "cut_week";
export interface PayGap {
  code: GapCode;
  crew_id: string | null;
  day: string;
  unpaid?: string;
  typed?: number;
  people?: number;
  person_id?: string | null;
}
export interface HeldTrees {
  block_id: string;
  row: number;
  first: number;
  last: number;
  trees: number;
  crew_ids: string[];
  days: string[];
}
export interface PayMissing {
  what: "rate" | "minimum_wage";
  day: string;
  variety_id: string | null;
  method: Method | null;
}
export interface PayPreview {
  first: string;
  last: string;
  crew_id: string | null;
  has_rules: boolean;
  currency: string | null;
  digest: string;
  /** Not said by an older service, which is then not followed. */
  cursor?: number;
  amount: string;
  lines: PayLine[];
  crews: { crew_id: string; trees: number; gone_over: number; hours: string }[];
  people: { crew_id: string; person_id: string; hours: string; rest_minutes: number }[];
  held: HeldTrees[];
  for_nobody: number;
  missing: PayMissing[];
  gaps: PayGap[];
}
export interface PayRunHead {
  id: string;
  number: number;
  first: string;
  last: string;
  crew_id: string | null;
  exported_at: string;
  currency: string;
  amount: string;
  corrections: number;
  corrected: string;
  people: number;
}
export interface PayRun extends PayRunHead {
  lines: PayLine[];
  /** Hours as they were then. */
  worked: PayPreview["people"];
}
export interface RateRule {
  per: "tree" | "hour";
  rate: string;
  variety: string | null;
  method: Method | null;
  first: string | null;
  last: string | null;
}
export interface WageRule {
  per_hour: string;
  first: string | null;
  last: string | null;
}
export interface PayRules {
  currency: string | null;
  minor_digits: number;
  rounding: "half_up" | "half_even" | "up";
  rounding_step: string;
  rates: RateRule[];
  minimum_wage: WageRule[];
  floor_period: PayPeriod;
  week_starts: string;
  returns_paid: boolean;
  bonus_per_tree: string;
  bonus_in_floor: boolean;
  rest_paid: boolean;
  rest_rate_over: PayPeriod;
  rest_in_floor: boolean;
  overtime_after_h_per_week?: string;
  overtime_premium?: string;
}
export interface KeptRules {
  revision: number;
  rules: PayRules | null;
}
export interface PersonHours {
  id: string;
  person_id: string;
  crew_id: string;
  day: string;
  hours: number;
  rest_minutes: number;
}
export interface HoursEntry extends PersonHours {
  replaces_id: string | null;
}
export interface Budget {
  amount: string;
  is_per_tree: boolean;
}
export interface BlockCost {
  block_id: string;
  trees: number;
  credited: number;
  cost: string;
  cost_per_tree: string | null;
  cost_per_ha: string | null;
}
export interface Cost {
  season_id: string | null;
  currency: string | null;
  /** Not said by an older service, which is then not followed. */
  cursor?: number;
  trees?: number;
  credited?: number;
  cost?: string;
  cost_per_tree?: string | null;
  /** Of the ground under all credited trees; not said by an older service. */
  cost_per_ha?: string | null;
  expected?: string | null;
  budget: (Budget & { whole: string; per_tree: string | null }) | null;
  without_block?: string;
  /** Trees that two crews claim: neither credited nor paid. */
  held?: number;
  /** False while a rate, or hours of a crew's day, are missing. */
  is_whole: boolean;
  /** The first day of which something is missing. */
  waits_on?: string | null;
  blocks: BlockCost[];
}
