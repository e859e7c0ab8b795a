/** Cases to put side by side: what they change, the ones that are offered, and what was reckoned already. */

import type { Crew, Method } from "./contracts";
import type { Case, CaseFinish, SeasonCalendar, WhatIf } from "./forecast-contracts";
import { daysAWeek, SATURDAY, withWeekday } from "./working-calendar";

/** How surely it is to be finished in time. */
export const CERTAINTIES = [0.8, 0.9, 0.95] as const;
export type Certainty = (typeof CERTAINTIES)[number];

/** Less time on a platform than on ladders, in percent: Miranda Sazo, SARE ONE12-165, dormant pruning of tall spindle. */
export const PLATFORM_LESS_TIME = 37;
/** So much more is pruned in an hour where the same takes so many percent less time: 37 % less is 1.587 times as much. */
export function ratioOf(lessTimePercent: number): number {
  return 1 / (1 - lessTimePercent / 100);
}
/** Return what percentage of time a ratio saves. */
export function lessTimeOf(ratio: number): number {
  return Math.round(1_000 * (1 - 1 / ratio)) / 10;
}

/** How things stand, as far as the cases need it. */
export interface Standing {
  crews: readonly Pick<Crew, "id" | "name" | "method">[];
  calendar: Pick<SeasonCalendar, "weekdays" | "hours_per_day">;
  /** People of each crew that is reckoned with. */
  people: ReadonlyMap<string, number>;
}

/** Return the crews that prune from ladders. */
export function onLadders(crews: Standing["crews"]): string[] {
  return crews.flatMap(({ id, method }) => (method === "ladder" ? [id] : []));
}

export type Offer = "person_more" | "crew_more" | "week_of_rain" | "platform" | "hour_more" | "saturdays";
const USUAL_PEOPLE = 6;

/** Return the middle number of people that crews have: so many a crew more is thought to be. */
export function usualPeople(people: ReadonlyMap<string, number>): number {
  const sorted = [...people.values()].filter((n) => n > 0).sort((a, b) => a - b);
  return sorted[Math.floor((sorted.length - 1) / 2)] ?? USUAL_PEOPLE;
}

/** Return the cases that are offered; those that change nothing here are left out. */
export function offers({ crews, calendar, people }: Standing): [Offer, Case][] {
  const ladders = onLadders(crews);
  const there = crews.filter(({ id }) => (people.get(id) ?? 0) > 0);
  const isFree = calendar.weekdays[SATURDAY] === "0";
  const to = (method: Method): Record<string, Method> => Object.fromEntries(ladders.map((id) => [id, method]));
  const all: [Offer, Case | null][] = [
    ["person_more", there.length === 0 ? null : { people: Object.fromEntries(there.map(({ id }) => [id, 1])) }],
    ["crew_more", { crews: [{ people: usualPeople(people) }] }],
    ["saturdays", isFree ? { weekdays: withWeekday(calendar.weekdays, SATURDAY, true) } : null],
    ["hour_more", calendar.hours_per_day <= 23 ? { hours_per_day: calendar.hours_per_day + 1 } : null],
    ["platform", ladders.length === 0 ? null : { methods: to("platform"), ratios: { platform: ratioOf(PLATFORM_LESS_TIME) } }],
    ["week_of_rain", { lost_days: daysAWeek(calendar.weekdays) }],
  ];
  return all.flatMap(([offer, one]): [Offer, Case][] => (one === null ? [] : [[offer, one]]));
}

/** Return the case with Saturdays worked where they are free now, else with free Saturdays. */
export function otherSaturdays({ weekdays }: Pick<SeasonCalendar, "weekdays">): Case {
  return { weekdays: withWeekday(weekdays, SATURDAY, weekdays[SATURDAY] === "0") };
}

/** Return a case without what changes nothing, so that two that mean the same are the same. */
export function tidy(one: Case, calendar: Standing["calendar"]): Case {
  const people = Object.fromEntries(Object.entries(one.people ?? {}).filter(([, n]) => n !== 0));
  const crews = (one.crews ?? []).filter((crew) => crew.people > 0);
  const hasMethods = Object.keys(one.methods ?? {}).length > 0;
  return {
    ...(Object.keys(people).length > 0 && { people }),
    ...(crews.length > 0 && { crews }),
    ...(one.weekdays !== undefined && one.weekdays !== calendar.weekdays && { weekdays: one.weekdays }),
    ...(one.hours_per_day !== undefined && one.hours_per_day !== calendar.hours_per_day && { hours_per_day: one.hours_per_day }),
    ...((one.lost_days ?? 0) > 0 && { lost_days: one.lost_days }),
    ...(hasMethods && { methods: one.methods, ...(one.ratios && { ratios: one.ratios }) }),
  };
}

/** What was reckoned, so that nothing is asked twice; a forecast that changed begins with a new one. */
export interface Reckoned {
  /** Null while it is not known. */
  of(one: Case, certainty: Certainty): CaseFinish | null;
  /**
   * Ask for those that are neither known nor asked for, in one request, and wait for all of them. Where some of them are not
   * answered it throws why, once all others are.
   */
  need(cases: readonly Case[], certainty: Certainty): Promise<void>;
}

/** Return what remembers the answers of `ask`. The case that changes nothing is how things stand. */
export function reckonedBy(ask: (cases: Case[], certainty: Certainty) => Promise<WhatIf>): Reckoned {
  const known = new Map<string, CaseFinish>();
  const coming = new Map<string, Promise<void>>();
  const key = (one: Case, certainty: Certainty): string => JSON.stringify([certainty, one]);
  const fetchThem = async (cases: readonly Case[], certainty: Certainty): Promise<void> => {
    const changing = cases.filter((one) => Object.keys(one).length > 0);
    const { now, cases: answers } = await ask(changing, certainty);
    if (now !== null) known.set(key({}, certainty), now);
    for (const [at, answer] of answers.entries()) known.set(key(changing[at] ?? {}, certainty), answer);
  };
  return {
    of: (one, certainty) => known.get(key(one, certainty)) ?? null,
    async need(cases, certainty) {
      const unknown = [...new Map(cases.map((one) => [key(one, certainty), one]))].filter(([name]) => !known.has(name));
      const fresh = unknown.filter(([name]) => !coming.has(name));
      if (fresh.length > 0) {
        const asked = fetchThem(fresh.map(([, one]) => one), certainty).finally(() => fresh.forEach(([name]) => coming.delete(name)));
        for (const [name] of fresh) coming.set(name, asked);
      }
      const came = await Promise.allSettled(unknown.map(([name]) => coming.get(name)));
      const failed = came.find((one) => one.status === "rejected");
      if (failed !== undefined) throw failed.reason;
    },
  };
}
