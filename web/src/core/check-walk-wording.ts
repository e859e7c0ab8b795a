/** Sentences of the walk over a lot's drawn trees. */

import type { Point } from "./brief-contracts";
import type { LotVerdict, TreeVerdict } from "./contracts";
import { t, tn } from "./language";
import { inHundred, measure } from "./numbers";
import { COMPASS } from "./rows-wording";
import type { Tree } from "./sample-trees";
import type { LeftOut } from "./stand-ins";
import type { Way } from "./walk-way";

/** Beyond it nobody needs to know how far. */
const FAR_M = 2_000;

export const WALK = {
  lot: (number: number) => t("Lot {number}", { number }),
  wholeBlock: t("whole block"),
  // how many rows are left, never "row 1 of 5" over a row of another number
  progress(done: number, all: number, row: number, rows: number): string {
    const trees = tn("{done} of 1 tree", "{done} of {n} trees", all, { done });
    return row < rows ? t("{trees}, {n} rows left with this one", { trees, n: rows - row + 1 }) : t("{trees}, the last row", { trees });
  },
  row: (row: number) => t("Row {row}", { row }),
  tree: (position: number) => t("Tree {position}", { position }),
  place: (row: number, position: number) => t("Row {row}, tree {position}", { row, position }),
  extra: t("An extra tree: it is checked and does not enter the verdict."),
  checkedBefore: (verdict: string) => t("Checked before: {verdict}. What you save now takes its place.", { verdict }),
  you: t("you"),
  points: t("Points of the brief"),
  byPoints: t("Point by point"),
  allYes: (isBegun: boolean) => (isBegun ? t("The rest as the brief says") : t("All as the brief says")),
  // points are orders, some of them to leave something alone: "no" to "do not cut" could mean either
  yes: t("OK"),
  no: t("Not OK"),
  untold: t("Can't tell"),
  less: (sentence: string) => t("Less: {sentence}", { sentence }),
  more: (sentence: string) => t("More: {sentence}", { sentence }),
  number: (sentence: string) => t("Type the number: {sentence}", { sentence }),
  pad: t("Digits"),
  padDelete: t("Take the last digit back"),
  padPoint: t("Decimal sign"),
  notMeasured: t("not measured"),
  isFailed: t("Not met"),
  weighs: { critical: t("critical"), major: t("major"), minor: t("minor") },
  save: (verdict: string) => t("Save: {verdict}. Next tree", { verdict }),
  saveNone: t("Save, next tree"),
  saving: t("Saving…"),
  openPoints: (n: number) => tn("1 point to answer.", "{n} points to answer.", n),
  unmeasured: (n: number) => tn("1 can be measured, or left out.", "{n} can be measured, or left out.", n),
  failedPoints: (n: number) => tn("1 point is not met.", "{n} points are not met.", n),
  saved: (place: string, verdict: string) => t("Saved. {place}: {verdict}.", { place, verdict }),
  skipped: (place: string, reason: string) => t("Left out. {place}: {reason}.", { place, reason }),
  notJudged: t("Cannot be judged"),
  whyNot: t("Why can this tree not be judged?"),
  whyNotHint: t("The manager reads why, and the next tree of the draw stands in for it. If it can be judged after all, “All trees” leads back to it."),
  whyNotSecond: t("No check is made of it, and no other tree takes its place. It stands at the end of the walk."),
  unjudged: (place: string, reason: string) => t("Written down. {place}: {reason}.", { place, reason }),
  standsInNext: (place: string) => t("{place} stands in for it.", { place }),
  noneStandsIn: t("No drawn tree is left to stand in for it."),
  standsIn: t("It stands in for a tree that could not be judged."),
  short: t("Too few of the drawn trees can be judged. See whether one of those below can be after all; if not, the manager cancels the lot and draws it again."),
  back: t("Back"),
  noBrief: t("No brief is published for this lot: give the verdict on the whole tree."),
  noPoints: t("The brief of this lot has no point to check: give the verdict on the whole tree."),
  nothingFound: t("Nothing is found on this tree yet. If nothing can be told, leave it out: “Cannot be judged”."),
  meanwhile: (place: string, verdict: string) => t("{place} was checked meanwhile by somebody else: {verdict}. “All trees” leads on.", { place, verdict }),
  lotGone: t("This lot was cancelled: its checks are kept and judge nothing. Ask the manager before you go on."),
  otherGround: (places: string) =>
    t("The rows of this block were changed since this walk was begun, and a number may be another tree now. Half answered, to be judged anew: {places}.", { places }),
  noteButton: t("Note"),
  briefMissing: t("The brief of this lot is not on this tablet: give the verdict on the whole tree, or open the lot once with a connection."),
  note: t("Note, no names of people"),
  photo: t("Photo"),
  anotherPhoto: (n: number) => tn("Photo (1 taken)", "Photo ({n} taken)", n),
  photoFailed: t("This picture cannot be used. Take it again."),
  photoNotKept: t("The photo could not be kept on this tablet."),
  photoTaken: t("Photo of this tree"),
  dropPhoto: t("Take this photo out"),
  whereAmI: t("Am I at the tree?"),
  offTree: (metres: number) =>
    metres > FAR_M ? t("You seem to be far from this block.") : t("You seem to be {metres} m from the tree.", { metres: Math.round(metres) }),
  atTree: t("By its position this tablet may well be at the tree."),
  noPosition: t("This tablet does not tell its position."),
  allTrees: t("All trees"),
  treesOf: t("Trees of this lot, in walking order"),
  open: t("open"),
  begun: t("half answered"),
  otherEnd: t("Begin at the other end"),
  seenTree: t("A tree seen while walking"),
  backToWalk: t("Back to the lot"),
  otherBlock: t("Other block"),
  secondLook: t("Second look"),
  firstLook: t("First look"),
  earlierLots: t("Earlier lots"),
  earlierTitle: t("Second look at an earlier lot"),
  earlierLot: (number: number, day: string) => t("Lot {number}, decided {day}", { number, day }),
  cancelled: (number: number) => t("Lot {number} was cancelled while it was walked on this tablet. What was checked is kept and judges nothing; nobody need walk it any further.", { number }),
  closed: (number: number) => t("Lot {number} is decided, and too long ago to be looked at again.", { number }),
  halfGoes: t("What was half answered goes once you have read this."),
  secondNote: t("Second look: another auditor judges the same trees, without seeing the first verdict. It changes nothing in the lot."),
  ownTrees: t("You judged every tree that is checked so far. A second look needs another auditor."),
  whoSecond: t("A second look tells two auditors apart: say who checks, under “Other block”."),
  noneForSecond: t("No tree of this lot is checked yet, so there is none to look at a second time."),
  lotPage: (goesBack: boolean) => (goesBack ? t("Weak spots and what goes back: the lot's page") : t("The lot's page")),
  doneTitle: t("The walk is done"),
  nothingTitle: t("Nothing to look at"),
  left: t("Left out on the way"),
  lookAgain: t("Look again"),
  agreed: (n: number) => tn("1 tree has a second look.", "{n} trees have a second look.", n),
} as const;

export const SKIP: Record<LeftOut, string> = {
  gone: t("The tree is not there, or dead"),
  unreachable: t("Out of reach"),
  not_pruned: t("It is not pruned yet"),
  other: t("Something else"),
  blank: t("No tree stands there by now"),
};

const LOT: Record<LotVerdict, string> = {
  accepted: t("Accepted"),
  send_back: t("Send back"),
  too_few: t("Too few checks"),
};

/** Return the verdict on a lot in one or two words. */
export function lotVerdictWords(verdict: LotVerdict): string {
  return LOT[verdict];
}

/** Say what a verdict on a lot rests on. */
export function lotReasons(lot: { accept: number }, far: { checked: number; needed: number; faulty: number; reject: number }): string {
  const { checked, needed, faulty, reject } = far;
  return t("{checked} of {n} drawn trees checked, {faulty} faulty. Accepted with at most {accept} faulty, sent back from {reject} on.", {
    checked,
    faulty,
    n: needed,
    accept: Math.min(lot.accept, reject - 1),
    reject,
  });
}

/** Say that a tree is not judged, and which one stands in; null where none is left, undefined where none has to. */
export function unjudgedWords({ row, position }: Tree, reason: LeftOut, standsIn: Tree | null | undefined): string {
  const next = standsIn === undefined ? "" : standsIn === null ? WALK.noneStandsIn : WALK.standsInNext(WALK.place(standsIn.row, standsIn.position));
  return [WALK.unjudged(WALK.place(row, position), SKIP[reason]), next].filter((part) => part !== "").join(" ");
}

/** Say that a verdict stands before the walk is done; nothing otherwise. */
export function earlyWords(verdict: LotVerdict): string {
  return verdict === "send_back" ? t("The lot goes back already. Further checks show where it is weak.") : "";
}

const END = {
  first: t("from its first end"),
  far: t("from its far end"),
} as const;

/** Return where one end of the rows lies; trees carry no numbers, so "on" and "back" would depend on how one walks. */
function compassOf(eighth: number | null, isFar: boolean): string {
  return eighth === null ? "" : (COMPASS[(eighth + (isFar ? 0 : 4)) % COMPASS.length] ?? "");
}

/** Say how to walk to the next tree; `eighth` is where the far end of rows lies, in eighths of the compass. */
export function wayWords(way: Way, eighth: number | null): string {
  const metres = way.kind === "here" || way.metres === null ? 0 : Math.max(1, Math.round(way.metres));
  switch (way.kind) {
    case "here":
      return t("You stand at it.");
    case "same": {
      const compass = compassOf(eighth, way.trees > 0);
      if (compass !== "") return tn("Same row, 1 tree {compass}, about {metres} m", "Same row, {n} trees {compass}, about {metres} m", Math.abs(way.trees), { compass, metres });
      return way.trees > 0
        ? tn("Same row, 1 tree on, about {metres} m", "Same row, {n} trees on, about {metres} m", way.trees, { metres })
        : tn("Same row, 1 tree back, about {metres} m", "Same row, {n} trees back, about {metres} m", -way.trees, { metres });
    }
    case "across": {
      const { row, trees } = way;
      if (trees === 0) return t("Next row, {row}: straight across, about {metres} m", { row, metres });
      const [compass, n] = [compassOf(eighth, trees > 0), Math.abs(trees)];
      if (compass !== "") return tn("Next row, {row}: across and 1 tree {compass}, about {metres} m", "Next row, {row}: across and {n} trees {compass}, about {metres} m", n, { row, compass, metres });
      return trees > 0
        ? tn("Next row, {row}: across and 1 tree on, about {metres} m", "Next row, {row}: across and {n} trees on, about {metres} m", n, { row, metres })
        : tn("Next row, {row}: across and 1 tree back, about {metres} m", "Next row, {row}: across and {n} trees back, about {metres} m", n, { row, metres });
    }
    case "end": {
      const compass = compassOf(eighth, way.end === "far");
      const end = compass === "" ? END[way.end] : t("{end} ({compass})", { end: END[way.end], compass });
      const known = { row: way.row, end, metres };
      return way.metres === null
        ? tn("To row {row}, {end}: the first tree there", "To row {row}, {end}: {n} trees in", way.nth, known)
        : tn("To row {row}, {end}: the first tree there, about {metres} m", "To row {row}, {end}: {n} trees in, about {metres} m", way.nth, known);
    }
    default:
      return way satisfies never;
  }
}

const UNITS: Record<Point["unit"], (n: string) => string> = {
  "": (n) => n,
  limbs: (n) => t("{n} limbs", { n }),
  buds: (n) => t("{n} buds", { n }),
  cuts: (n) => t("{n} cuts", { n }),
  cm: (n) => t("{n} cm", { n }),
  deg: (n) => t("{n}°", { n }),
};

/** Return a number in the unit of its point; a share in percent. */
export function numberWords({ kind, unit }: Pick<Point, "kind" | "unit">, value: number): string {
  return kind === "ratio" ? inHundred(value) : UNITS[unit](measure(value));
}

/** Return the limits of a point that is measured. */
export function limitWords(point: Pick<Point, "kind" | "unit" | "low" | "high">): string {
  const { low, high } = point;
  if (low !== null && high !== null) return t("{low} to {high}", { low: measure(point.kind === "ratio" ? 100 * low : low), high: numberWords(point, high) });
  if (low !== null) return t("at least {limit}", { limit: numberWords(point, low) });
  return high === null ? "" : t("at most {limit}", { limit: numberWords(point, high) });
}

/** Return a count of verdicts in words, for the end of the walk. */
export function tallyWords(of: Record<TreeVerdict, number>): string {
  return [
    tn("1 tree meets the brief", "{n} trees meet the brief", of.meets),
    tn("1 with minor faults", "{n} with minor faults", of.minor),
    tn("1 faulty", "{n} faulty", of.faulty),
  ].join(" · ");
}
