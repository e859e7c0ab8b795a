/** The finish forecast, and what it is made of, on the wire. Days are ISO days; null for a day is "never". */

import type { Method } from "./contracts";

/** The days by which the last tree is pruned 1 time in 10, as likely as not, and 9 times in 10. */
export interface Finish {
  p10: string | null;
  p50: string | null;
  p90: string | null;
}
/** What must be said before anything can be forecast; a newer service may name more. */
export type Missing = "season" | "blocks" | "expected_pace" | "crews" | (string & {});
/** Trees pruned by the end of a day: 1 time in 10 no more than the first number, 9 times in 10 no more than the last. */
export type FanDay = [day: string, p10: number, p50: number, p90: number];
/** What an evening's forecast says. */
export type EarlierForecast = [day: string, p10: string | null, p50: string | null, p90: string | null, chance: number];

export interface BlockFinish extends Finish {
  block_id: string;
  /** That it is given to; null for whoever is free. */
  crew_id: string | null;
  /** By which it must be finished, its own day or the season's; not said by an older service. */
  must_finish_on?: string;
  /** Of being done by then. */
  chance: number;
}
/** Trees of one person's hour, with bounds that hold the true number 8 times in 10. */
export interface Pace {
  crew_id: string;
  variety_id: string | null;
  method: Method;
  system: string;
  trees_per_h: number;
  low: number;
  high: number;
  /** Days that it rests on. */
  days: number;
}
/** A day on which a crew pruned and nobody said its people and hours. */
export interface WithoutHours {
  crew_id: string;
  day: string;
  trees: number;
}
export interface Forecast {
  farm_id: string;
  day: string;
  season_id: string | null;
  must_finish_on: string | null;
  trees: number;
  pruned: number;
  trees_left: number;
  missing: Missing[];
  finish: Finish | null;
  /** Of being finished by the must-finish date, 0 to 1. */
  chance: number | null;
  straight_line: string | null;
  /** People more for 9 in 10; 0 when it is made anyway, null when no number makes it. */
  short_people: number | null;
  fan: FanDay[];
  burnup: [day: string, pruned: number][];
  earlier: EarlierForecast[];
  scored: { issued: number; inside: number } | null;
  blocks: BlockFinish[];
  paces: Pace[];
  /** Those that are reckoned with, with their people on the first day of the forecast. */
  crews: { crew_id: string; people: number; method: Method }[];
  /** Crews that have left, and so are not reckoned with; not said by an older service. */
  gone?: { crew_id: string; last_day: string }[];
  /** Crews whose crew-day of today is waited for: until then no work of today is in it. Not said by an older service. */
  unsaid_today?: string[];
  /** Not said by an older service. */
  without_hours?: WithoutHours[];
  /** Where it ends because nobody is entered any more: the last day that has people (null: none has), and the trees that likely stay. Not said by an older service. */
  people_end?: PeopleEnd | null;
}
export interface PeopleEnd {
  day: string | null;
  trees: number;
}

/** The same of some blocks; `finish` is null where nothing of them is left, or nothing can be forecast. */
export interface BurnUpPart extends Pick<Forecast, "day" | "must_finish_on" | "trees" | "pruned" | "trees_left" | "missing" | "finish" | "chance" | "fan" | "burnup"> {
  /** How many there are. */
  blocks: number;
}

/** What is done otherwise from the next day on; what is left out stays as it is. */
export interface Case {
  /** By crew, so many more. */
  people?: Record<string, number>;
  crews?: { people: number; method?: Method }[];
  /** Monday to Sunday, 1 for a day that is worked. */
  weekdays?: string;
  /** Of the next working days, so many on which nobody works. */
  lost_days?: number;
  methods?: Record<string, Method>;
  /** Trees of one person's hour by a method, against the pace that the farm expects. */
  ratios?: Partial<Record<Method, number>>;
  hours_per_day?: number;
}
export interface CaseFinish {
  finish: Finish;
  chance: number;
  short_people: number | null;
  /** By which it is finished with the certainty that was asked for; not said by an older service. */
  sure_by?: string | null;
}
export interface WhatIf {
  missing: Missing[];
  now: CaseFinish | null;
  cases: CaseFinish[];
}

export interface SeasonCalendar {
  season_id: string;
  weekdays: string;
  hours_per_day: number;
  days_off: { day: string; name: string }[];
  /** Of working days that weather takes, January first. */
  lost_percent: number[];
  /** Trees per person-hour. */
  expected_pace: number | null;
  respects_daylight: boolean;
  /** Whether somebody saved one; else these are first guesses. */
  is_set?: boolean;
}
/** People of a crew from one day to another, both among them. */
export interface Strength {
  crew_id: string;
  first: string;
  /** Null: until the work is done. */
  last: string | null;
  people: number;
}
/** A crew-day as the service tells it. */
export interface ToldCrewDay {
  id: string;
  season_id: string;
  crew_id: string;
  day: string;
  people: number;
  hours: number;
  method: Method;
  standing: boolean;
  set_aside: string | null;
}
