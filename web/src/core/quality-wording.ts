/** The sentences of the screen of quality: its parts, the lots, a new lot and its plan. */

import { trees } from "./counted";
import { t, tn } from "./language";
import { count, dayText } from "./numbers";
import type { QualityPart } from "./place";
import type { Lot } from "./quality-contracts";

export const PART_WORD: Record<QualityPart, string> = {
  lots: t("Lots"),
  "new-lot": t("New lot"),
  weak: t("Weak areas"),
  crews: t("Crews"),
  auditors: t("Auditors"),
  returns: t("Returns"),
};

export const QUALITY = {
  title: t("Quality"),
  parts: t("Parts of quality"),
  offline: t("Quality is worked out by the farm's service and needs a connection. Checks go on without one."),
  crew: t("Crew"),
  block: t("Block"),
  onlyBlock: (code: string) => t("Only block {code} is shown.", { code }),
  allBlocks: t("Show all blocks"),
  wholeBlock: t("The whole block, whoever pruned it"),
  crewTrees: (crew: string, n: number) => t("{crew}: {trees}", { crew, trees: trees(n) }),
  ofBlock: t("whole block"),
  lotName: ({ number, block_code, crew }: Pick<Lot, "number" | "block_code" | "crew">) =>
    t("Lot {number}: {block}, {crew}", { number, block: block_code, crew: crew === "" ? t("whole block") : crew }),
  reason: t("Reason"),
  reasonHint: t("What others should know of it; no names of people."),
  needsReason: t("Say in a few words why."),
} as const;

export const LOTS = {
  lead: t("A lot is a number of pruned trees that are judged together. Some are drawn and checked, and the lot is accepted or sent back."),
  back: t("Sent back, a return is missing"),
  wanting: t("Wants a lot now"),
  wantingLead: t("Pruned trees that no lot holds yet, the most of them first."),
  moreWanting: (n: number) => tn("{n} more", "{n} more", n),
  restInLots: t("Every other pruned tree is in a lot."),
  nothingWanting: t("Every pruned tree is in a lot."),
  noPruned: t("Nothing is pruned yet, so there is nothing to check. Foremen mark rows under Rows."),
  wants: (block: string, crew: string) => t("{block}, {crew}", { block, crew: crew === "" ? t("credited to nobody") : crew }),
  toSettle: (n: number) =>
    tn(
      "{n} pruned tree is in no lot until somebody says which crew pruned it.",
      "{n} pruned trees are in no lot until somebody says which crew pruned them.",
      n,
    ),
  settle: t("Say who pruned them"),
  plan: t("Plan a lot"),
  planFor: (what: string) => t("Plan a lot: {what}", { what }),
  open: t("Being checked"),
  noOpen: t("No lot waits for checks."),
  apart: t("Checked without a lot"),
  apartLead: t("These checks judge a block as a whole."),
  decided: t("Decided"),
  noDecided: t("No lot is decided yet."),
  cancelled: (n: number) => tn("{n} cancelled lot", "{n} cancelled lots", n),
  progress: ({ checked, n, lot_trees, faulty, accept }: Pick<Lot, "checked" | "n" | "lot_trees" | "faulty" | "accept">) =>
    t("{checked} of {wanted} checked, {faulty} faulty (at most {most}).", {
      checked: count(checked),
      wanted: trees(Math.min(n, lot_trees)),
      faulty: count(faulty),
      most: count(accept),
    }),
  work: (from: string | null, until: string | null) => {
    if (until === null) return "";
    return from === null || from === until
      ? t("Work up to {until}.", { until: dayText(until) })
      : t("Work of {from} to {until}.", { from: dayText(from), until: dayText(until) });
  },
  holds: (n: number) => t("{trees} in the lot.", { trees: trees(n) }),
  recheck: t("Drawn over a return."),
  check: t("Check its trees"),
  noReturn: t("The crew does not know of it yet."),
  /** Of drawn trees that nobody judged; nothing where there are none. */
  notJudged: ({ not_judged = [], hangs_on_words = false }: Pick<Lot, "not_judged" | "hangs_on_words">): string => {
    const n = not_judged.reduce((sum, one) => sum + one.trees, 0);
    if (n === 0) return "";
    const told = tn("1 drawn tree was not judged.", "{n} drawn trees were not judged.", n);
    return hangs_on_words ? `${told} ${t("The verdict hangs on that.")}` : told;
  },
  partSent: (n: number) => t("The crew does not know of {trees} of it yet.", { trees: trees(n) }),
  putRight: t("sent back, put right"),
  makeReturn: t("Make the return"),
  older: (n: number) => tn("{n} older lot", "{n} older lots", n),
  memory: t("How strictly each crew is checked"),
  memoryColumns: { strictness: t("How strictly"), why: t("Why") },
  memoryLead: t("Each crew's lots of this season decide it, by the switching rules of the published tables."),
  inspection: { normal: t("normal"), tightened: t("tightened"), reduced: t("reduced"), discontinued: t("stopped") },
} as const;

export const NEW_LOT = {
  lead: t("Nothing is written until you draw. Change what you like: the plan follows."),
  until: t("Work up to"),
  whose: t("Whose trees"),
  planKind: t("How many trees, and how many may be faulty"),
  kinds: {
    farm: t("By the farm's plan"),
    attributes: t("By published tables"),
    two_points: t("By what must pass and what must not"),
  },
  tablesLead: t("From MIL-STD-105E: the number of trees follows from the lot, the level and the faulty trees you can live with."),
  level: t("Level"),
  levelHint: t("A higher level checks more trees of the same lot. S-1 to S-4 are for very small samples."),
  aql: t("Faulty trees in 100 that are good enough"),
  aqlHint: t("Lots at this share or better are nearly always accepted."),
  promisesLead: t("You say how good a lot is that must pass, and how bad one that must not. The fewest trees that tell the two apart so surely are checked."),
  p1: t("A good lot has at most so many faulty, in 100"),
  pa1: t("and is accepted at least so many times in 100"),
  p2: t("A bad lot has at least so many faulty, in 100"),
  pa2: t("and is accepted at most so many times in 100"),
  needsHundred: t("Give a number above 0 and below 100."),
  needsBad: t("A bad lot must have more faulty trees than a good one, and be accepted less often."),
  extra: t("Extra trees"),
  extraHint: t("Looked at beside the plan, to learn more; they do not enter the verdict."),
  needsExtra: t("Give a whole number from 0 to 100."),
  needsDay: t("Give a day that has come."),
  thePlan: t("The plan"),
  inLot: (n: number, rows: number) => tn("{n} tree in the lot, in {rows}.", "{n} trees in the lot, in {rows}.", n, { rows: tn("{n} row", "{n} rows", rows) }),
  check: (n: number) => t("Check {trees}", { trees: trees(n) }),
  every: t("That is every tree of the lot."),
  accept: (n: number) => (n === 0 ? t("Accepted with no faulty tree") : tn("Accepted with up to {n} faulty tree", "Accepted with up to {n} faulty trees", n)),
  reject: (n: number) => tn("Sent back from {n} faulty tree on", "Sent back from {n} faulty trees on", n),
  draw: (n: number) => tn("Draw {n} tree", "Draw {n} trees", n),
  drawing: t("Drawing…"),
  risks: t("What that means"),
  recheckOf: (number: number, block: string, crew: string) =>
    t("The recheck of return {number}: {block}, {crew}. The lot is the trees that were gone over again.", { number, block, crew }),
  lookFirst: (number: number, block: string, crew: string) =>
    t("New trees of return {number}: {block}, {crew}, before the crew goes. They tell whether it is a weak area.", { number, block, crew }),
  noBlocks: t("No block has pruned trees without a lot."),
  notDrawn: t("Not drawn yet: no answer from the service. Try again: nothing is drawn twice."),
} as const;

export const CURVE = {
  title: t("How such a plan judges"),
  across: t("Faulty trees in the lot, in 100"),
  up: t("Accepted, times in 100"),
  alt: t("A falling curve: the more faulty trees a lot has, the less often it is accepted. The table below says the same in numbers."),
  read: t("Faulty trees in the lot"),
  says: (share: string, times: string) => t("With {share} faulty trees such a lot is accepted {times} times in 100.", { share, times }),
  table: t("The curve as a table"),
} as const;

export const PLAN_SETTINGS = {
  title: t("The farm's plan"),
  lead: t("What a new lot begins with. Lots that are drawn keep the plan they were drawn with."),
  save: t("Save"),
  saved: t("Saved."),
  nothingChanged: t("Nothing was changed."),
  published: (value: string, source: string) => t("First guess {value}. {source}", { value, source }),
  names: {
    check_kind: t("How a plan is made"),
    check_level: t("Level of the tables"),
    check_aql: t("Faulty trees in 100 that are good enough"),
    check_p1_percent: t("A good lot: faulty trees in 100, at most"),
    check_pa1_percent: t("A good lot is accepted, times in 100"),
    check_p2_percent: t("A bad lot: faulty trees in 100, at least"),
    check_pa2_percent: t("A bad lot is accepted, times in 100"),
    check_extra_trees: t("Extra trees in each lot"),
    check_reduced_agreed: t("Fewer checks for crews with a good record"),
    weak_area_level_percent: t("Weak areas: chance alone, times in 100"),
  } as Record<string, string>,
  choices: {
    attributes: t("by published tables"),
    two_points: t("by what must pass and what must not"),
    yes: t("yes"),
    no: t("no"),
  } as Record<string, string>,
} as const;
