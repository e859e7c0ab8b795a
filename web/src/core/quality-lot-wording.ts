/** The sentences of one lot: its verdict, what it rests on, its trees, how it was drawn, and the return that is made of it. */

import { stretch, trees } from "./counted";
import { t, tn } from "./language";
import { coefficient, count, dayText, inHundred, measure } from "./numbers";
import type { Coefficient } from "./crew-contracts";
import type { FullLot, LotTree, Return, ReturnState, WeakArea } from "./quality-contracts";

export const LOT = {
  back: t("All lots"),
  notDecided: t("Being checked"),
  recheckOf: t("It is the recheck of a return."),
  share: t("Faulty trees"),
  shareOfSample: (share: string) => t("{share} of the checked trees", { share }),
  intervalWords: (low: string, high: string, confidence: string) =>
    t("Of trees pruned like these, {low} to {high} are likely faulty, with {confidence} confidence.", { low, high, confidence }),
  more: t("More about this share"),
  twoStage: t("Counted by rows"),
  twoStageWords: (share: string, low: string, high: string) => t("{share}, likely {low} to {high}: the rows it rests on are taken into account.", { share, low, high }),
  twoStageAlone: (share: string) => t("{share}; too few rows were visited for an interval.", { share }),
  scale: (share: string) => t("The line reaches from 0 to {share}; the thin mark is what the plan calls good enough.", { share }),
  whatFailed: t("What was not met"),
  nothingFailed: t("Every point was met on every tree checked."),
  noFindings: t("The checks say faulty or not, without points."),
  failedOf: (failed: number, checked: number) => t("{failed} of {trees}", { failed: count(failed), trees: trees(checked) }),
  classes: { critical: t("critical"), major: t("major"), minor: t("minor") },
  trees: t("The drawn trees"),
  picture: t("The lot's rows with the drawn trees: a bud for each check, an open ring where a check is still due, a cross where a tree could not be judged. The table below says the same."),
  pictureKey: t("Heavy line: trees of the lot. Ring: still to check. Cross: could not be judged."),
  columns: {
    number: t("Order"),
    place: t("Tree"),
    check: t("Check"),
    failed: t("Not met"),
    day: t("Day"),
    note: t("Note"),
    second: t("Second look"),
    photos: t("Photos"),
  },
  place: ({ row, position }: Pick<LotTree, "row" | "position">) => t("row {row}, tree {position}", { row, position }),
  extra: t("extra"),
  standsIn: t("stands in"),
  toCheck: t("to check"),
  photo: (n: number, row: number, position: number) => t("Photo {n} of row {row}, tree {position}", { n, row, position }),
  differs: t("differs"),
  howDrawn: t("How it was drawn"),
  howDrawnLead: t("Anybody can draw the same trees again: the lot's trees in walking order, the seed, and the rule are kept. The trees were drawn in this order:"),
  further: t("Further trees, in this order: the next one stands in where one cannot be judged."),
  seed: (seed: number) => t("Seed {seed}.", { seed: String(seed) }),
  brief: (version: number, day: string) => t("Judged by version {version} of the brief, of {day}.", { version, day: dayText(day) }),
  noBrief: t("No brief was published for the block when it was drawn."),
  cancel: t("Cancel this lot"),
  cancelLead: t("Its trees can then be drawn anew. The checks stay; the lot stays in the list with your reason."),
  cancelled: t("This lot is cancelled."),
  managerCancels: t("Trees of this lot were looked at: only a manager can cancel it now."),
  secondLooks: t("Second looks"),
  weakAreas: t("Weak areas of this block"),
} as const;

export const RETURN_FORM = {
  title: t("Make a return"),
  another: t("Make another return"),
  lead: t("The crew goes over these trees again. The rows show it on its tablets until each tree was gone over and checked anew."),
  due: t("Due by"),
  needsDay: t("Give a day from today on."),
  crew: t("Crew that goes"),
  needsCrew: t("Choose the crew that goes."),
  points: t("What to look at"),
  otherPoints: t("Other points of the brief"),
  which: t("Which trees"),
  /** How many trees go back, before it is made; of a crew that is not chosen yet without its name. */
  goesOver: (crew: string, n: number) =>
    crew === "" ? tn("1 tree goes back.", "{n} trees go back.", n) : tn("{crew} goes over 1 tree again.", "{crew} goes over {n} trees again.", n, { crew }),
  ofLot: (n: number) => t("All of the lot: {trees}", { trees: trees(n) }),
  ofRest: (n: number) => t("Those that were never sent back: {trees}", { trees: trees(n) }),
  ofArea: ({ rows, positions, trees: n }: Pick<WeakArea, "rows" | "positions" | "trees">) => {
    const where = { rows: rowSpan(rows), positions: stretch(...positions) };
    return n === undefined ? t("The weak area: {rows}, {positions}", where) : t("The weak area: {rows}, {positions}: {trees}", { ...where, trees: trees(n) });
  },
  note: t("Note for the crew"),
  noteHint: t("Optional; no names of people."),
  make: t("Make the return"),
  making: t("Making…"),
  notMade: t("Not made yet: no answer from the service. Try again: nothing is made twice."),
} as const;

/** Return rows from one to another in words. */
export function rowSpan([first, last]: readonly [number, number]): string {
  return first === last ? t("row {row}", { row: first }) : t("rows {first} to {last}", { first, last });
}

export const RETURN_STATE: Record<ReturnState, string> = {
  open: t("to be gone over again"),
  redone: t("gone over again, to be checked"),
  confirmed: t("confirmed"),
  failed: t("sent back again"),
  cancelled: t("cancelled"),
};

export const RETURNS = {
  lead: t("A return is trees that a crew must go over again by a day. It is over when a recheck was accepted."),
  none: t("No return is made yet. One is made from a lot that was sent back, or from a weak area."),
  name: ({ number, block_code, crew }: Pick<Return, "number" | "block_code" | "crew">) => t("Return {number}: {block}, {crew}", { number, block: block_code, crew }),
  late: (due: string) => t("late: due by {day}", { day: dayText(due) }),
  due: (due: string) => t("due by {day}", { day: dayText(due) }),
  progress: ({ trees: all, trees_open: open }: Pick<Return, "trees" | "trees_open">) =>
    open === 0 ? t("All of {trees} gone over again.", { trees: trees(all) }) : t("{done} of {trees} gone over again.", { done: count(all - open), trees: trees(all) }),
  recheck: t("Draw the recheck"),
  lookFirst: t("Check new trees first"),
  again: t("Make a new return"),
  open: (n: number) => tn("{n} return under way", "{n} returns under way", n),
  over: (n: number) => tn("{n} return that is over", "{n} returns that are over", n),
  history: t("History"),
  lookAt: t("To look at"),
  fromLot: t("See its lot"),
  fromArea: t("See the weak areas"),
  cancel: t("Cancel this return"),
  cancelLead: t("The crew no longer has to go over these trees. It stays in the list with your reason."),
  seeRows: t("See the rows"),
} as const;

export const AGREEMENT = {
  percent: t("Scored alike"),
  kappa: t("Kappa (Cohen)"),
  ac1: t("AC1 (Gwet)"),
  positive: t("Faulty trees"),
  meaning: {
    percent: t("of the trees both looked at"),
    kappa: t("beyond chance; low by itself where nearly all trees are good"),
    ac1: t("beyond chance; steady where nearly all trees are good"),
    positive: t("when one of the two called a tree faulty, how often the other did so too"),
  },
  says: ({ value, low, high }: Coefficient) => t("{value}, likely {low} to {high}", { value: coefficient(value), low: coefficient(low), high: coefficient(high) }),
  share: ({ value, low, high }: Coefficient) => t("{value}, likely {low} to {high}", { value: inHundred(value), low: measure(100 * low), high: inHundred(high) }),
  cannotTell: t("these trees cannot tell"),
} as const;

/** Return the share of faulty trees of a lot in hundredths; null where none is checked. */
export function faultyShare({ checked, faulty }: Pick<FullLot, "checked" | "faulty">): number | null {
  return checked === 0 ? null : faulty / checked;
}

/** Return an interval's ends in hundredths. */
export function ends([low, high]: readonly [number, number]): [string, string] {
  return [inHundred(low), inHundred(high)];
}
