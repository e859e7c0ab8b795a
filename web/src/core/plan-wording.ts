/** The sentences of the board on which blocks are given out. */

import type { BlockStanding } from "./block-finish";
import { chanceText } from "./finish-wording";
import { blocks, people, trees } from "./counted";
import { t, tn } from "./language";
import { dayText, weekdayText } from "./numbers";

export const PLAN = {
  title: t("Plan"),
  purpose: t("Which crew prunes which block next. A bar ends on the day on which the block is likely done; tablets show each crew its own blocks, in this order. A crew that is done helps the others: that is in the days."),
  noSeason: t("No season is open: open one in Set-up, then blocks can be given out."),
  noCrews: t("No crew yet: add one in Set-up."),
  nothingLeft: t("Every block is done. There is nothing to give out."),
  propose: t("Propose"),
  proposing: t("Working out a proposal…"),
  save: t("Save the plan"),
  undo: t("Undo"),
  undoLabel: t("Undo the last change of the plan"),
  saved: t("Saved. Tablets show it when they hear from the service next."),
  unsaved: (n: number) => tn("{n} block stands elsewhere than on the tablets: not saved yet.", "{n} blocks stand elsewhere than on the tablets: not saved yet.", n),
  allSaved: t("Nothing unsaved: tablets show the plan as it stands here."),
  leftHere: t("What you changed here last time and did not save is still here: save it, or take it back with Undo."),
  newer: t("Somebody gave blocks out meanwhile. What you changed is still here: look at it, then save it again."),
  ownFirst: t("Tablets show a crew its own blocks first"),
  show: t("Show as"),
  asWhole: t("whole season"),
  asDays: t("day by day"),
  asList: t("list"),
  board: t("Board: crews by weeks"),
  tray: t("Given to nobody"),
  trayNote: t("Any crew that is done with its own goes on here."),
  trayEmpty: t("Every block is given to a crew."),
  crewEmpty: t("nothing given"),
  crew(n: number, isKnown: boolean, all: number, day: string | null): string {
    const told = { people: isKnown ? people(n) : t("{people} for a guess: nobody said how many", { people: people(n) }), blocks: blocks(all) };
    return day === null ? t("{people}; {blocks}", told) : t("{people}; {blocks}, done about {day}", { ...told, day: dayText(day) });
  },
  week: (day: string) => weekdayText(day),
  must: (day: string) => t("must be done by {day}", { day: dayText(day) }),
  standing: { in_time: "", may_be_late: t("may be late"), late: t("late") } satisfies Record<BlockStanding, string>,
  bar: (code: string, crew: string, days: string, marks: string) => t("{code}, {crew}, {days}{marks}", { code, crew, days, marks }),
  days: (from: string | null, to: string | null) =>
    from === null || to === null ? t("beyond this season") : from === to ? dayText(from) : t("{from} to {to}", { from: dayText(from), to: dayText(to) }),
  finish: (likely: string | null, late: string | null) =>
    likely === null
      ? t("done on no day that can be told")
      : late === null
        ? t("likely done {likely}", { likely: weekdayText(likely) })
        : t("likely done {likely}, 9 in 10 by {late}", { likely: weekdayText(likely), late: weekdayText(late) }),
  ahead: (likely: string | null, late: string | null, chance: number) =>
    likely === null
      ? t("With this plan: done on no day that can be told.")
      : late === null
        ? t("With this plan: likely done {likely}; in time {chance}.", { likely: weekdayText(likely), chance: chanceText(chance) })
        : t("With this plan: likely done {likely}, 9 in 10 by {late}; in time {chance}.", { likely: weekdayText(likely), late: weekdayText(late), chance: chanceText(chance) }),
  asSaved: (likely: string | null, chance: number) =>
    likely === null
      ? t("As saved: done on no day that can be told.")
      : t("As saved: likely done {likely}; in time {chance}.", { likely: weekdayText(likely), chance: chanceText(chance) }),
  reckoning: t("Reckoning…"),
  firstGuess: t("Days are a first guess: see in the forecast what is missing for more."),
  noForecast: t("The service does not answer: days are those from before the change."),
  toForecast: t("Forecast"),
  pick: t("Touch a block: what moves it appears below. A mouse drags it too. With the keyboard, arrows left and right change its place, up and down its crew."),
  wider: t("The board goes on to the right, past the edge of the page: scroll it sideways, or show the whole season."),
  nobody: t("nobody"),
  left: (n: number) => t("{trees} left", { trees: trees(n) }),
  closed: (first: string, last: string) => (first === last ? t("closed on {day}", { day: dayText(first) }) : t("closed {first} to {last}", { first: dayText(first), last: dayText(last) })),
  worked: (crew: string, day: string) => t("{crew} pruned here on {day}", { crew, day: dayText(day) }),
  elsewhere: (crew: string, given: string) => t("{crew} prunes here, though it is given to {given}", { crew, given }),
  elsewhereNobody: (crew: string) => t("{crew} prunes here, though it is given to nobody", { crew }),
  biennial: t("leans to biennial bearing"),
  sooner: t("Sooner"),
  later: t("Later"),
  soonerLabel: (code: string) => t("Sooner: {code}", { code }),
  laterLabel: (code: string) => t("Later: {code}", { code }),
  giveTo: t("Give to"),
  giveToLabel: (code: string) => t("Give {code} to", { code }),
  hide: t("Hide"),
  terms: t("Its own day, and whether a platform goes in there"),
  ownDay: t("Its own day to be done by"),
  ownDayHint: (day: string) => t("Empty: the season's, {day}.", { day: dayText(day) }),
  platform: t("A platform goes in there"),
  platformChoice: { unknown: t("nobody said"), yes: t("yes"), no: t("no") },
  keepTerms: t("Keep it"),
  keptTerms: (code: string) => t("Kept for {code}. Propose again to see what follows.", { code }),
  moved: (code: string, crew: string, place: number) => t("{code}: {crew}, place {place}.", { code, crew, place }),
  movedToTray: (code: string) => t("{code}: given to nobody.", { code }),
  undone: t("Taken back."),
  proposal: t("What would change"),
  proposalNone: t("The proposal is what stands here already."),
  proposalCount: (n: number) => tn("{n} block would stand elsewhere.", "{n} blocks would stand elsewhere.", n),
  change: (code: string, from: string, to: string) => t("{code}: from {from} to {to}", { code, from, to }),
  changePlace: (code: string, crew: string, was: number, now: number) => t("{code}, {crew}: place {was} to {now}", { code, crew, was, now }),
  stays: (n: number) => tn("Why {n} block stays where it is", "Why {n} blocks stay where they are", n),
  stay: (code: string, crew: string) => t("{code}, {crew}", { code, crew }),
  take: t("Take it"),
  leave: t("Leave it"),
  taken: t("Taken over. Save it when it is as you want it."),
  keyBar: t("a block, up to the day on which it is likely done"),
  keyTime: t("over a block too short to be touched: its time"),
  keyMayBeLate: t("may be done after its day"),
  keyLate: t("likely done after its day"),
  keyBegun: t("begun"),
  keyMust: t("day that all must be done by"),
  keyOwn: t("a block's own day"),
  keyClosed: t("closed"),
} as const;
