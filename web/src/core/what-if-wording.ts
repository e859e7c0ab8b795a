/** Sentences of "What if": the cases that are offered, what a case changes in words, and the form of one's own. */

import { people } from "./counted";
import type { Case } from "./forecast-contracts";
import { t, tn } from "./language";
import { measure } from "./numbers";
import { lessTimeOf, type Offer, type Standing } from "./what-if";
import { SATURDAY, weekdayNames } from "./working-calendar";

export const WHAT_IF = {
  title: t("What if"),
  lead: t("Side by side, in the same seasons that may come. Nothing is saved: the plan stays as it is."),
  offers: {
    person_more: t("One person more in each crew"),
    crew_more: t("One crew more"),
    saturdays: t("Saturdays worked"),
    hour_more: t("One hour more a day"),
    platform: t("Platform instead of ladder"),
    week_of_rain: t("A week of rain"),
  } satisfies Record<Offer, string>,
  putBeside: t("Put beside it:"),
  own: t("Your own case"),
  asItStands: t("As it stands"),
  rows: { likely: t("Likely"), late: t("9 in 10 by"), chance: t("In time") },
  forSure: (sure: string) => t("People for {sure}", { sure }),
  enough: t("enough people"),
  short: (n: number | null) => (n === null ? t("no number of people makes it") : t("{people} more", { people: people(n) })),
  change: t("Change"),
  changeOf: (words: string) => t("Change: {words}", { words }),
  removeOf: (words: string) => t("Take away: {words}", { words }),
  takeAway: t("Take away"),
  full: t("Seven cases are the most: take one away first."),
  form: {
    peopleOf: (crew: string) => t("{crew}: people more", { crew }),
    peopleHint: t("Fewer with a minus: -2."),
    crews: t("Crews more"),
    crewPeople: t("People in each of them"),
    crewPeopleHint: t("They prune as most people do here, as fast as a crew is thought to that nobody has seen yet."),
    weekdays: t("Days of the week that are worked"),
    hours: t("Hours a day"),
    lost: t("Next days lost to rain"),
    platform: t("Crews on a platform instead of ladders"),
    lessTime: t("Less time on a platform, percent"),
    source: t("37 % less: Miranda Sazo, SARE project ONE12-165, 2012-13, dormant pruning of tall spindle; 47 % on a machine that straddles the row. Where a crew has worked on a platform here, its own days weigh more. Change it where you know better."),
    put: t("Put it beside"),
    needsWhole: (least: string, most: string) => t("Give a whole number from {least} to {most}.", { least, most }),
    needsNumber: (least: string, most: string) => t("Give a number from {least} to {most}.", { least, most }),
    nothing: t("That changes nothing: change something first."),
  },
} as const;

function signed(n: number, words: string): string {
  return n < 0 ? t("fewer: {people}", { people: words }) : t("{people} more", { people: words });
}

function peopleWords({ people: more = {} }: Case, { crews, people: there }: Standing): string[] {
  const changed = Object.entries(more);
  const first = changed[0]?.[1];
  const everyone = crews.filter(({ id }) => (there.get(id) ?? 0) > 0);
  const isAll = everyone.length > 1 && everyone.every(({ id }) => more[id] === first) && changed.length === everyone.length;
  if (first !== undefined && isAll) return [t("each crew {change}", { change: signed(first, people(Math.abs(first))) })];
  return changed.map(([id, n]) => t("{crew} {change}", { crew: crews.find((crew) => crew.id === id)?.name ?? "?", change: signed(n, people(Math.abs(n))) }));
}

function weekdayWords(weekdays: string, now: string): string[] {
  return weekdayNames().flatMap((name, at) => {
    if (weekdays[at] === now[at]) return [];
    if (at === SATURDAY) return [weekdays[at] === "1" ? t("Saturdays worked") : t("Saturdays free")];
    return [weekdays[at] === "1" ? t("{day} worked", { day: name }) : t("{day} free", { day: name })];
  });
}

/** Say in words what a case changes. */
export function caseWords(one: Case, standing: Standing): string {
  const { crews, calendar } = standing;
  const onPlatform = Object.keys(one.methods ?? {}).map((id) => crews.find((crew) => crew.id === id)?.name ?? "?");
  const less = measure(lessTimeOf(one.ratios?.platform ?? 1));
  const newCrews = one.crews ?? [];
  const found = [
    ...peopleWords(one, standing),
    ...(newCrews.length === 0
      ? []
      : [tn("{n} crew more of {people}", "{n} crews more of {people} each", newCrews.length, { people: people(newCrews[0]?.people ?? 0) })]),
    ...(one.weekdays === undefined ? [] : weekdayWords(one.weekdays, calendar.weekdays)),
    ...(one.hours_per_day === undefined ? [] : [t("{hours} hours a day", { hours: measure(one.hours_per_day) })]),
    ...(one.lost_days === undefined ? [] : [tn("the next working day lost", "the next {n} working days lost", one.lost_days)]),
    ...(onPlatform.length === 0 ? [] : [t("{crews} on a platform, {less} % less time", { crews: onPlatform.join(", "), less })]),
  ];
  const words = found.join("; ");
  return words.charAt(0).toLocaleUpperCase() + words.slice(1);
}
