/** What the overview says of days, crews and varieties that are looked at alone, and of the season before. */

import { trees } from "./counted";
import { t, tn } from "./language";
import { count, percent } from "./numbers";

export const DAY = {
  group: t("Day of the season"),
  slider: t("Day shown"),
  back: t("A day back"),
  on: t("A day on"),
  play: t("Play the season"),
  pause: t("Pause"),
  today: t("Today"),
} as const;

export const CHOICE = {
  crew: t("Crew"),
  variety: t("Variety"),
  allCrews: t("All crews"),
  allVarieties: t("All varieties"),
  everything: t("Show everything"),
  none: t("Nothing fits: the crew was given no block of that variety, and pruned in none."),
  unknown: t("The crew or variety of this address is not on this farm any more, so everything is shown."),
} as const;

export const GLANCE = {
  /** After a number of trees. */
  prunedBy: (n: number, crew: string) => tn("tree pruned by {crew}", "trees pruned by {crew}", n, { crew }),
  ofBlocks: (done: number, all: number, blocks: number) =>
    tn("All crews: {part} of {all} in the one block that it was given or pruned in.", "All crews: {part} of {all} in the {n} blocks that it was given or pruned in.", blocks, {
      part: count(done),
      all: trees(all),
    }),
  ownPace: (perDay: number, days: number) => tn("It made {trees} on its one day there.", "It made {trees} a day on its last {n} days there.", days, { trees: count(perDay) }),
  atRest: t("Checks and verdicts follow when the day rests."),
  before: (season: string, day: string, done: number, all: number) =>
    t("{season} by {day}: {share} of {trees} that stand here now.", { season, day, share: percent(done, all), trees: trees(all) }),
  ownBefore: (season: string, day: string, done: number) => t("{season} by {day}: {trees}.", { season, day, trees: trees(done) }),
  nothingBefore: (season: string) => t("{season} has no marks to compare with.", { season }),
  noBefore: t("No season before this one to compare with."),
  noFan: t("What is to come is forecast of blocks, whoever prunes them: choose all crews to see it."),
  finish: (likely: string, late: string) => t("Likely {likely}, 9 in 10 by {late}.", { likely, late }),
  likelyOnly: (likely: string) => t("Likely {likely}, 9 in 10 by no day that can be told.", { likely }),
  noFinish: t("No day can be told by which they are finished."),
  givenLikely: (likely: string) => t("What it was given is finished likely {likely}, 9 in 10 by no day that can be told.", { likely }),
  noGivenFinish: t("No day can be told by which what it was given is finished."),
  givenFinish: (likely: string, late: string) => t("What it was given is finished likely {likely}, 9 in 10 by {late}.", { likely, late }),
} as const;

export const TODAY = {
  silent: (crew: string, day: string) => t("{crew}: nothing heard today. Its last trees are of {day}; its tablet may be without a connection.", { crew, day }),
  away: t("Say that it is away"),
  begins: (block: string, when: string, reason: string) =>
    reason === "" ? t("{block} closes {when}.", { block, when }) : t("{block} closes {when}: {reason}.", { block, when, reason }),
  ends: (block: string, when: string, reason: string) =>
    reason === "" ? t("{block} opens again {when}.", { block, when }) : t("{block} opens again {when} (closed for: {reason}).", { block, when, reason }),
  toPlan: (block: string) => t("{block} on the plan", { block }),
  unbriefed: (n: number) =>
    tn(
      "{n} block is being pruned without a published brief: its crew has nothing to go by, and no check can be held against it.",
      "{n} blocks are being pruned without a published brief: their crews have nothing to go by, and no check can be held against it.",
      n,
    ),
  briefFor: (block: string) => t("Brief for {block}", { block }),
  what: t("crews and closures"),
} as const;

export const TABLE = {
  find: t("Find blocks"),
  pace: t("Pace, trees a day"),
  forecast: t("Finished, likely"),
  late: (day: string) => t("9 in 10 by {day}", { day }),
  noLate: t("9 in 10 by no day that can be told"),
  noDay: t("no day in sight"),
  done: t("done"),
  cost: t("Cost so far"),
  costOfAll: t("Cost is of all crews that worked in a block: choose all crews to see it."),
  costOfToday: t("Cost is told of today only: choose Today to see it."),
  costOfTodayAndAll: t("Cost is told of today only, and of all crews that worked in a block: choose Today and all crews to see it."),
  costOf: (n: number) => t("for {trees}", { trees: trees(n) }),
  noCost: t("not known yet"),
  total: (n: number, all: number) => (n === all ? tn("{n} block in all", "{n} blocks in all", n) : tn("{n} of {all} blocks", "{n} of {all} blocks", n, { all: count(all) })),
  ofCrew: (own: number, crew: string) => t("{trees} by {crew}", { trees: trees(own), crew }),
  nothing: t("No block has these words."),
} as const;
