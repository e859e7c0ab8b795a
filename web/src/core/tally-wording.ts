/** Every sentence of the counting of sample trees. */

import type { BudTarget } from "./brief-contracts";
import type { CountedThing } from "./contracts";
import type { CountEstimate } from "./count-estimate";
import { t, tn } from "./language";
import { count, measure } from "./numbers";

export const THING: Record<CountedThing, string> = {
  buds_before: t("Fruit buds before pruning"),
  buds_after: t("Fruit buds after pruning"),
  limbs: t("Limbs"),
  buds_on_limb: t("Fruit buds on one limb"),
};

export const COUNTED = {
  title: t("Counted this season"),
  column: t("Counted"),
  none: t("Nothing was counted in these blocks this season. On the tablet: Rows, a block, Count trees."),
  unread: t("What was counted could not be read: no connection."),
  block: (code: string) => t("Block {block}", { block: code }),
  over: (name: string, blocks: number) => tn("{name}, 1 block", "{name}, all {n} blocks counted", blocks, { name }),
  use: (limbs: number) => t("Use {n} limbs a tree", { n: measure(limbs) }),
  picked: (n: number) => tn("1 tree was chosen by eye.", "{n} trees were chosen by eye.", n),
} as const;

export const TALLY = {
  title: (code: string) => t("Count trees of {block}", { block: code }),
  what: t("What do you count?"),
  // common practice: a rule for which limb keeps the eye from choosing
  oneLimb: t("Count one limb of the tree: the nearest one at chest height, not the best one."),
  place: (row: number, position: number) => t("Row {row}, position {position}", { row: count(row), position: count(position) }),
  chosen: t("Chosen by you. Trees that are drawn tell more: nobody's eye picked them."),
  number: t("Counted on this tree"),
  more: t("+1: one more"),
  five: t("+5: five more"),
  less: t("−1: one less"),
  next: t("Next tree"),
  noneHere: t("None here, next tree"),
  other: t("Other tree"),
  leaveOut: t("Leave it out"),
  undo: (place: string, number: number) => t("Undo: {place}, {number}", { place, number: count(number) }),
  close: t("Back"),
  row: t("Row"),
  position: t("Position"),
  oneRowLess: t("One row less"),
  oneRowMore: t("One row more"),
  onePositionLess: t("One position less"),
  onePositionMore: t("One position more"),
  useTree: t("Count this tree"),
  leaveIt: t("Leave it"),
  isBlank: t("That is a blank: no tree stands there."),
  isPollinizer: t("A pollinizer stands there: count a tree of the block's variety."),
  isCounted: t("That tree is counted already. Count it again, and the mean of both holds."),
  allDone: t("Every tree of this block is counted or left out."),
  kept: (place: string, number: number) => t("Kept. {place}: {number}.", { place, number: count(number) }),
  takenBack: (place: string) => t("Taken back. {place} is counted anew.", { place }),
  notSafe: t("NOT safe: this tablet could not keep it, and there is no connection. Keep this page open."),
  refused: (why: string) => t("NOT taken: {why}", { why }),
  othersUnknown: t("What others counted is not known here without a connection."),
  otherGround: t("The rows of this block were changed since this count was begun. A number may be another tree now: trees are drawn anew."),
  ahead: (n: number) => tn("1 more tree in this round.", "{n} more trees in this round.", n),
} as const;

/** Say a mean: 21.4 fruit buds a tree. */
export function meanWords(what: CountedThing, mean: number): string {
  const number = measure(mean);
  const n = number === measure(1) ? 1 : 2; // as it is said: 1.04 is said as 1
  if (what === "limbs") return tn("{number} limb a tree", "{number} limbs a tree", n, { number });
  if (what === "buds_on_limb") return tn("{number} fruit bud a limb", "{number} fruit buds a limb", n, { number });
  return tn("{number} fruit bud a tree", "{number} fruit buds a tree", n, { number });
}

/** Say what one record counted; without a number it took a count back. */
export function countedWords(what: CountedThing, number: number | null): string {
  return number === null ? t("{thing}: taken back", { thing: THING[what] }) : t("{thing}: {n}", { thing: THING[what], n: count(number) });
}

/** Say the mean over several blocks, each weighed by its trees. */
export function overBlocksWords(what: CountedThing, mean: number, trees: number): string {
  return tn("{mean}, from 1 tree; each block weighed by its trees.", "{mean}, from {n} trees; each block weighed by its trees.", trees, {
    mean: meanWords(what, mean),
  });
}

/**
 * Say what the trees counted so far tell, and how many more to count.
 *
 * A round of drawn trees is walked from one side of the block to the other: half of it tells of half the block, so it is
 * never enough before the `inRound` trees that are left of it.
 */
export function soFarWords(what: CountedThing, told: CountEstimate, treesInBlock: number, inRound = 0): string {
  const { trees, mean, low, high, treesNeeded, isEnough } = told;
  if (mean === null) return t("Nothing counted yet. Count five trees at least.");
  const said = meanWords(what, mean);
  if (trees === treesInBlock) return t("Every tree is counted: {mean}.", { mean: said });
  if (low === null || high === null) {
    return tn("So far {mean}, from 1 tree. Count some more.", "So far {mean}, from {n} trees. Count some more.", trees, { mean: said });
  }
  const likely = t("likely {low} to {high}", { low: measure(low), high: measure(high) });
  if (isEnough && inRound > 0) {
    return tn(
      "Enough with the last tree of this round. {mean}, {likely}.",
      "Enough with the last {n} trees of this round. {mean}, {likely}.",
      inRound,
      { mean: said, likely },
    );
  }
  if (isEnough) return tn("Enough: 1 tree. {mean}, {likely}.", "Enough: {n} trees. {mean}, {likely}.", trees, { mean: said, likely });
  const soFar = tn("So far {mean}, {likely}, from 1 tree.", "So far {mean}, {likely}, from {n} trees.", trees, { mean: said, likely });
  if (treesNeeded === null) return `${soFar} ${t("Count some more.")}`;
  return `${soFar} ${tn("Count 1 more tree.", "Count {n} more trees.", treesNeeded - trees)}`;
}

const TARGET: Record<CountedThing, keyof BudTarget> = {
  buds_before: "buds_per_tree",
  buds_after: "buds_per_tree",
  limbs: "limbs_per_tree",
  buds_on_limb: "buds_per_limb",
};
const SHARES: readonly (readonly [share: number, words: string])[] = [
  [0.1, t("a tenth")],
  [1 / 7, t("one in seven")],
  [0.2, t("a fifth")],
  [0.25, t("a quarter")],
  [1 / 3, t("a third")],
  [0.4, t("two in five")],
  [0.5, t("half")],
  [2 / 3, t("two thirds")],
  [0.75, t("three quarters")],
  [0.9, t("nine tenths")],
];

/** Say what a mean means beside the target of the brief; nothing where the brief says nothing of it. */
export function targetWords(what: CountedThing, mean: number | null, target: BudTarget | null): string {
  const wanted = target?.[TARGET[what]] ?? null;
  if (mean === null || wanted === null) return "";
  const leaves = what === "buds_on_limb" ? t("The brief leaves {n} a limb", { n: measure(wanted) }) : t("The brief leaves {n} a tree", { n: measure(wanted) });
  const over = Math.round(mean - wanted);
  if (what === "buds_after") {
    if (over === 0) return t("{leaves}: that is what is left.", { leaves });
    if (over > 0) return t("{leaves}: about {n} too many are left.", { leaves, n: count(over) });
    return t("{leaves}: about {n} too few are left.", { leaves, n: count(-over) });
  }
  if (over <= 0) return t("{leaves}: there are no more than that.", { leaves });
  return t("{leaves}: take out about {share}, {n} of them.", { leaves, share: shareWords(over / mean), n: count(over) });
}

/** Say a share by the nearest of those that people take out by eye. */
function shareWords(share: number): string {
  const near = [...SHARES].sort(([a], [b]) => Math.abs(a - share) - Math.abs(b - share));
  return near[0]?.[1] ?? "";
}
