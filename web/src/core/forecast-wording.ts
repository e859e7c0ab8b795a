/** Sentences of the finish forecast. They come with its screen, not with the first load of a tablet. */

import { people, trees } from "./counted";
import { wholeHundredths } from "./finish-wording";
import type { Forecast, PeopleEnd } from "./forecast-contracts";
import { t, tn } from "./language";
import { count, measure, weekdayText } from "./numbers";
import type { Certainty } from "./what-if";

export const FORECAST = {
  /** Where it hangs: blocks that end last and may be late. */
  hangsOn: (blocks: string) => t("What holds it up: {blocks}.", { blocks }),
  ofCrew: (block: string, crew: string) => t("{block} ({crew})", { block, crew }),
  title: t("Finish forecast"),
  answer: t("Will it be finished in time?"),
  notYet: t("Nothing can be forecast yet. Say first:"),
  missing: {
    season: t("The dates of the season: when it opens and when it must be finished"),
    blocks: t("The blocks with their trees"),
    expected_pace: t("How many trees a person is expected to prune in an hour"),
    crews: t("How many people each crew has"),
  } as Record<string, string>,
  missingOther: (what: string) => t("One thing more that this page does not know: {what}", { what }),
  missingWay: {
    season: t("Enter the season"),
    blocks: t("Load blocks"),
    expected_pace: t("Enter the expected pace"),
    crews: t("Enter people of crews"),
  } as Record<string, string>,
  managerSays: t("A manager enters this."),
  /** Never all or none, for nobody knows that. */
  ofHundred: (chance: number, must: string) => {
    if (chance > 0.99) return t("Of 100 seasons that may come from here, more than {n} are done by {must}.", { n: 99, must });
    if (chance < 0.01) return t("Of 100 seasons that may come from here, not one is done by {must}.", { must });
    return tn("Of 100 seasons that may come from here, about {n} is done by {must}.", "Of 100 seasons that may come from here, about {n} are done by {must}.", wholeHundredths(chance), { must });
  },
  gone: (crew: string, day: string) =>
    t("{crew} was there last on {day}. The other crews have worked five days since, so it is taken to have left and not reckoned with. If it comes back, enter its people.", { crew, day }),
  unsaidToday: (crews: string) => t("Today's trees and hours enter the forecast once today's crew-day of {crews} is said, at midnight at the latest. So a day that is going on does not move the figures. A crew that stays away today is entered under “People of crews”, with 0 people.", { crews }),
  /** Nobody is entered after a day (null: from now on), and these trees likely stay. */
  peopleEnd: ({ day, trees: stay }: PeopleEnd): string => {
    if (day === null) return t("Nobody is entered for any day ahead: {trees} stay.", { trees: trees(stay) });
    const last = weekdayText(day);
    if (stay === 0) return t("After {day} nobody is entered: in some of the seasons that may come trees stay.", { day: last });
    return t("After {day} nobody is entered: {trees} likely stay.", { day: last, trees: trees(stay) });
  },
  upTo: (day: string) => t("Reckoned with what was pruned up to {day}, and from there in a thousand seasons that may come.", { day }),
  withoutHours: (n: number) =>
    tn(
      "{n} day of a crew has trees and no hours: its pace is not known yet.",
      "{n} days of crews have trees and no hours: their pace is not known yet.",
      n,
    ),
  toCrewDays: t("Crew-days"),
  toPace: t("Calendar and expected pace"),
  toPeople: t("People of crews"),
  reckoning: t("Reckoning…"),
  never: t("no day in sight"),
  anybody: t("whoever is free"),
  unknownCrew: t("crew not known"),
} as const;

/** How surely it is made by its day, as an evening knows it: a day that is over is told to be. */
export function inTimeWords(chance: number, must: string, evening: string | undefined): string {
  const day = weekdayText(must);
  return evening !== undefined && must <= evening ? t("{must} is over, and trees are left.", { must: day }) : FORECAST.ofHundred(chance, day);
}

export const CHART = {
  title: t("Trees pruned, and what may come"),
  all: (n: number) => t("all {trees}", { trees: trees(n) }),
  labels: {
    must: (day: string) => t("must finish {day}", { day }),
    p10: (day: string) => t("1 in 10 by {day}", { day }),
    p50: (day: string) => t("likely {day}", { day }),
    p90: (day: string) => t("9 in 10 by {day}", { day }),
  },
  key: {
    pruned: t("pruned"),
    likely: t("likely"),
    fan: t("from 1 in 10 to 9 in 10"),
    must: t("must finish"),
    straight: t("straight line"),
    before: t("last season, the same calendar days"),
  },
  straight: (day: string) =>
    t("The thin straight line carries the mean of all days so far on to {day}. It knows nothing of days off, of trees that take longer, or of who comes, and is here for comparison only.", { day }),
  everyDay: t("Every day as a table"),
  columns: { day: t("Day"), p10: t("1 in 10: at most"), p50: t("Likely"), p90: t("9 in 10: at most"), pruned: t("Pruned by its end") },
} as const;

/** What the burn-up shows, for whoever does not see it. Days that are not known are left out; one that nobody can tell is said to be so. */
export function burnUpAlt({ pruned, trees: all, finish, must_finish_on: must }: Pick<Forecast, "pruned" | "trees" | "finish" | "must_finish_on">): string {
  return [
    t("{done} of {all} pruned.", { done: count(pruned), all: count(all) }),
    finish === null ? "" : allBy(finish.p50, finish.p90),
    must === null ? "" : t("Must finish {must}.", { must: weekdayText(must) }),
    t("The table below holds every day."),
  ]
    .filter((said) => said !== "")
    .join(" ");
}

function allBy(p50: string | null, p90: string | null): string {
  if (p50 === null) return t("All of them by no day that can be told.");
  const likely = weekdayText(p50);
  if (p90 === null) return t("All of them likely by {likely}, 9 in 10 by no day that can be told.", { likely });
  return t("All of them likely by {likely}, 9 in 10 by {late}.", { likely, late: weekdayText(p90) });
}

export const DRIFT = {
  title: t("What earlier evenings would have said"),
  alt: (first: string, last: string) => t("The likely day as of each evening from {first} to {last}. The table below holds each of them.", { first, last }),
  note: t("Each bar goes from 1 in 10 to 9 in 10, its dot is the likely day: as of the evening below it, worked out again from the records of that evening and before, by the calendar, expected pace and spans of people that are entered now."),
  scored: (issued: number, inside: number) =>
    tn(
      "{inside} of {n} that is old enough to be judged holds the day that is likely now.",
      "{inside} of {n} that are old enough to be judged hold the day that is likely now. Over many seasons 8 of 10 should; the evenings of one season stand and fall together.",
      issued,
      { inside: count(inside) },
    ),
  scoredAtEnd: (issued: number, inside: number) =>
    tn(
      "{inside} of {n} that is old enough to be judged holds the day of the last tree.",
      "{inside} of {n} that are old enough to be judged hold the day of the last tree. Over many seasons 8 of 10 should; the evenings of one season stand and fall together.",
      issued,
      { inside: count(inside) },
    ),
  table: t("Each evening as a table"),
  columns: { said: t("As of the evening of"), p10: t("1 in 10 by"), p50: t("Likely"), p90: t("9 in 10 by"), chance: t("In time") },
} as const;

export const TAKES = {
  title: t("What would it take"),
  howSure: t("How surely in time"),
  sure: { 0.8: t("8 in 10"), 0.9: t("9 in 10"), 0.95: t("19 in 20") } satisfies Record<Certainty, string>,
  people: (n: number | null) =>
    n === null
      ? t("No number of people more makes it: days are too few, or a block is closed too long.")
      : n === 0
        ? t("No people more: it is made as things stand.")
        : t("{people} more, from the next day on to the end.", { people: people(n) }),
  noPeople: (day: string | null) =>
    day === null ? t("A later date does not help as long as nobody is entered.") : t("A later date does not help as long as nobody is entered after {day}.", { day: weekdayText(day) }),
  days: (n: number | null, day: string) =>
    n === null
      ? t("No later date that can be told would do.")
      : n === 0
        ? t("No day more: by {day} it is done that surely.", { day })
        : tn("Or until {day}, {n} day of the calendar later.", "Or until {day}, {n} days of the calendar later.", n, { day }),
  saturdaysMore: (withOut: string, withThem: string) =>
    t("With Saturdays worked the chance of being in time goes from {without} to {with}.", { without: withOut, with: withThem }),
  saturdaysLess: (withThem: string, withOut: string) =>
    t("Saturdays are worked. With free Saturdays the chance of being in time goes from {with} to {without}.", { without: withOut, with: withThem }),
} as const;

export const PACES = {
  title: t("Pace"),
  lead: t("What one person prunes in an hour, by what grows where. Trees, weather and ground make most of the difference, so this orders nobody: it is what the forecast reckons with. The true pace lies between the two numbers in brackets 8 times in 10."),
  none: t("No day that is over has trees and hours yet: the forecast goes by the expected pace alone."),
  columns: { crew: t("Crew"), trees: t("Variety"), how: t("How"), pace: t("Trees a person-hour"), days: t("Days") },
  pace: (at: number, low: number, high: number) => t("{pace} ({low} to {high})", { pace: measure(at), low: measure(low), high: measure(high) }),
  noVariety: t("no variety told"),
} as const;

export const BLOCKS = {
  title: t("Block by block"),
  lead: t("In the order in which they are worked, until a column is chosen."),
  none: t("No block has trees left."),
  toPlan: t("Change who prunes what next"),
  ownDay: (day: string) => t("by its own day, {day}", { day: weekdayText(day) }),
  columns: { block: t("Block"), crew: t("Given to"), left: t("Trees left"), likely: t("Likely"), late: t("9 in 10 by"), chance: t("In time") },
  standing: { in_time: t("in time"), may_be_late: t("may be late"), late: t("late") },
} as const;

/** Forms of what the forecast goes by. */
export const GOES_BY = {
  title: t("What the forecast goes by"),
  save: t("Save"),
  saved: t("Saved. The forecast is reckoned again."),
  mend: t("Not saved: mend what is marked."),
  remove: t("Remove"),
  calendar: {
    title: t("Calendar and expected pace"),
    firstGuess: t("Nobody has saved one yet: these are first guesses. Look them over, enter the expected pace and save."),
    weekdays: t("Days of the week that are worked"),
    noWeekday: t("Choose at least one day of the week."),
    hours: t("Hours a day"),
    pace: t("Expected pace"),
    paceHint: t("Trees that one person prunes in an hour, as last season went or as you plan. The crews' own days soon weigh more."),
    between: (least: string, most: string) => t("Give a number from {least} to {most}.", { least, most }),
    dayLength: t("Length of the day"),
    daylight: t("No longer than daylight allows"),
    lost: t("Days lost to weather, percent of working days"),
    lostHint: t("Common practice is a first guess of 10 %. Days lost so far are learnt from by themselves."),
    daysOff: t("Days off"),
    dayOff: (at: number) => t("Day off {n}", { n: at }),
    dayOffName: (at: number) => t("Name of day off {n}", { n: at }),
    addDayOff: t("Add a day off"),
    removeDayOff: (day: string) => t("Remove day off {day}", { day }),
    oddDaysOff: t("Give each day off its day, each day once."),
  },
  people: {
    title: t("People of crews"),
    lead: t("So many people from a day to a day; without a last day, until the work is done. On other days a crew has as many as on the fullest of its last five crew-days. Where two spans of a crew meet, the lower one in the list holds: add one for what changes, and leave what has been. Once the other crews have worked five days and a crew none of them, that crew is taken to have left, unless a span says that it is away or comes back."),
    now: (list: string) => t("Today: {list}.", { list }),
    crewNow: (crew: string, n: number) => t("{crew} {people}", { crew, people: people(n) }),
    nobodyNow: t("Today nobody: no crew-day yet and no span that holds."),
    noCrews: t("No crew yet: add one in Set-up."),
    span: (at: number) => t("Span {n}", { n: at }),
    crew: t("Crew"),
    first: t("First day"),
    last: t("Last day"),
    people: t("People"),
    add: t("Add a span"),
    away: (crew: string) => t("A span of today in which {crew} has nobody is entered above. Save it, or give its last day first.", { crew }),
    removeSpan: (at: number) => t("Remove span {n}", { n: at }),
    untilDone: t("until the work is done"),
    needsDays: t("Give the first day; a last one lies not before it."),
    needsPeople: t("Give a whole number of people, 0 to 1,000."),
  },
  crewDays: {
    title: t("Crew-days: people and hours"),
    lead: t("What foremen say at knock-off. Enter here what was forgotten, and correct what is wrong: the entry before stays on record."),
    missing: t("Trees and no hours"),
    missingLine: (day: string, crew: string, n: number) => t("{day}, {crew}: {trees}, no hours", { day, crew, trees: trees(n) }),
    enter: t("Enter"),
    enterOf: (day: string, crew: string) => t("Enter the hours of {crew}, {day}", { day, crew }),
    said: t("What stands"),
    none: t("No crew-day yet."),
    columns: { day: t("Day"), crew: t("Crew"), people: t("People"), hours: t("Hours"), method: t("Method"), correct: t("Correct") },
    correct: t("Correct"),
    correctOf: (day: string, crew: string) => t("Correct {crew}, {day}", { day, crew }),
    all: (n: number) => t("Show all {n}", { n: count(n) }),
    form: t("A crew-day"),
    correcting: (crew: string, day: string) => t("Corrects the entry of {crew}, {day}.", { crew, day }),
    fresh: t("A new entry."),
    hours: t("Hours of each of them"),
    put: t("Enter it"),
    drop: t("Begin anew"),
    twice: t("This crew has an entry of that day and method: choose Correct beside it."),
    nothingNew: t("That stands there already."),
    kept: (crew: string, day: string) => t("Entered: {crew}, {day}.", { crew, day }),
    setAside: (why: string) => t("Stored, not counted: {why}", { why }),
    waits: t("It waits on this device, safe, until the service answers."),
    notSafe: t("Not saved: neither this device nor the service took it. Keep this page open and try again."),
    needsPeople: t("Give a whole number of people, 1 to 200."),
    needsHours: t("Give hours above 0 and at most 24."),
    needsDay: t("Give a day that is not to come."),
  },
} as const;
