/** The sentences of the settling screen: overlaps, records set aside, crew-days entered twice. */

import { people, stretch, trees } from "./counted";
import { t, tn } from "./language";
import type { RecordKind } from "./matters";
import { dayText, measure } from "./numbers";

export const RECORD: Record<RecordKind, string> = {
  mark: t("Mark"),
  withdrawal: t("Withdrawal"),
  check: t("Check"),
  crew_day: t("Crew-day"),
  tree_count: t("Tree count"),
};

/** What to do about a record that no word of the manager can make count, by the reason's code. */
const OTHERWISE: Record<string, string> = {
  unknown_block: t("The block is not in the plan. Load it in Set-up; then the foreman marks the rows again."),
  unknown_row: t("The block has no such row. Ask the foreman which row it was; it is marked again, and this record left out."),
  other_ground: t("Its row was changed and no row of that number is there. Ask who made it which trees it was; they are recorded again, and this one left out."),
  unknown_crew: t("The crew is not known here. Ask who pruned; it is marked again for the right crew, and this record left out."),
  unknown_season: t("The season is not known here. Mark again in the open season, and leave this record out."),
  no_stretch: t("It names no position. Ask the foreman, mark again, and leave this record out."),
  no_tree_there: t("No tree stands there. Look at the tree again, check it at its right position, and leave this record out."),
  unknown_lot: t("The lot is not known in this block. Ask the auditor; the tree is checked again in its lot, and this record left out."),
  not_in_lot: t("The tree is not one of its lot's draw. Ask the auditor; the right tree is checked again, and this record left out."),
  unknown_return: t("The return it answers is not known. Mark again, and leave this record out."),
};

export const SETTLING = {
  title: t("To settle"),
  purpose:
    t("Here you settle what the rules cannot: trees that two crews claim, records that were stored but do not fit, crew-days entered twice. Nothing is thrown away: a settlement is one more record, and another one can follow."),
  nothing: t("Nothing waits to be settled."),
  counts: (overlaps: number, aside: number, crewDays: number) =>
    [
      overlaps === 0 ? "" : tn("{n} overlap", "{n} overlaps", overlaps),
      aside === 0 ? "" : tn("{n} record set aside", "{n} records set aside", aside),
      crewDays === 0 ? "" : tn("{n} crew-day entered twice", "{n} crew-days entered twice", crewDays),
    ]
      .filter((part) => part !== "")
      .join(", "),
  overlaps: t("Claimed by two crews"),
  place: (block: string, row: number) => t("Block {block}, row {row}", { block, row }),
  contested: (first: number, last: number, n: number) =>
    t("Contested: {part}, {trees}. They count once and are credited to nobody yet.", { part: stretch(first, last), trees: trees(n) }),
  reopened: t("Re-opened"),
  heldBefore: (day: string, credited: string) => t("Settled {day}, {credited}; then more came in.", { day, credited }),
  cameSince: t("came in since"),
  creditedTo: (crew: string) => t("credited to {crew}", { crew }),
  creditedToNobody: t("credited to nobody"),
  claimOf: (crew: string, parts: string) => t("{crew} claims {parts}", { crew, parts }),
  part: stretch,
  picture: (claims: string) => t("The row: {claims}.", { claims }),
  marks: t("What was marked"),
  columns: { crew: t("Crew"), positions: t("Positions"), day: t("Day worked"), taken: t("Reached us"), by: t("By") },
  by: (recorder: string, tablet: string) => [recorder, tablet].filter((part) => part !== "").join(", ") || t("not said"),
  tablet: (name: string) => t("on {tablet}", { tablet: name }),
  choose: t("Who pruned these trees?"),
  all: (crew: string) => t("{crew}, all of them", { crew }),
  split: t("Both: split at a position"),
  nobody: t("Neither: credit nobody"),
  nobodyNote: t("The trees stay pruned; no crew is credited."),
  splitFirst: (from: number) => t("Up to position {n}", { n: from - 1 }),
  splitSecond: (from: number) => t("From position {n}", { n: from }),
  splitAt: t("Second part begins at position"),
  oneLess: t("One position less"),
  oneMore: t("One position more"),
  swap: t("The other way round"),
  note: t("Note, optional"),
  noteHint: t("Why; no names of people."),
  settle: t("Settle"),
  chooseFirst: t("Choose first who pruned these trees."),
  settling: t("Settling…"),
  settled: (parts: string) => t("Settled: {parts}.", { parts }),
  settledPart: (first: number, last: number, credited: string) => `${stretch(first, last)} ${credited}`,
  notSettled: t("Not settled yet: no answer from the service. Your choice is kept here; try again."),
  half: t("The first part is settled, the second not yet. Try again: nothing is settled twice."),
  moved: t("The service has another settlement under this id. Read again, look at the row, and settle anew."),
  aside: t("Set aside"),
  asideLead: t("Stored, not counted."),
  recordLine: (kind: RecordKind, block: string, row: number | null) =>
    [RECORD[kind], block === "" ? "" : t("block {block}", { block }), row === null ? "" : t("row {row}", { row })].filter((part) => part !== "").join(", "),
  asideReopened: t("You settled this before; then another version came in."),
  versions: (n: number) => t("{n} versions came in under one id. What differs is marked.", { n }),
  version: (n: number) => t("Version {n}", { n }),
  fields: { reason: t("Why it is set aside"), block_id: t("Block"), row: t("Row"), positions: t("Positions"), crew_id: t("Crew"), day: t("Day"), taken: t("Reached us"), now_at: t("Where its trees are now") },
  differs: t("differs"),
  notSaid: t("not said"),
  letCount: t("Let it count"),
  nowUnknown: t("Not known: ask who made it which trees it was."),
  letCountIn: (row: number) => t("Let it count in row {row} as it is now", { row }),
  /** `block` is its code where it is another one. */
  countThere: (block: string, row: number, first: number, last: number) =>
    t("Count it where its trees are: {place}", {
      place: [block === "" ? "" : t("block {block}", { block }), t("row {row}", { row }), stretch(first, last)].filter((part) => part !== "").join(", "),
    }),
  countedThere: t("It is recorded on its trees and counts there; what came in is left out and stays stored."),
  letVersionCount: (n: number) => t("Let version {n} count", { n }),
  leaveOut: t("Leave it out"),
  leaveAllOut: t("Leave all out"),
  counted: t("It counts from now on."),
  leftOut: t("It is left out; it stays stored."),
  cannotCount: (code: string) =>
    OTHERWISE[code] ??
    t("This record cannot count as it is. Ask who made it; what is right is recorded again, and this one left out."),
  crewDays: t("Crew-days entered twice"),
  crewDayLine: (crew: string, day: string, method: string) => `${crew}, ${dayText(day)}, ${method}`,
  crewDayLead: t("One crew has one crew-day for each day and method. Choose the one that stands."),
  entry: (n: number, hours: number) => t("{people}, {hours} hours each", { people: people(n), hours: measure(hours) }),
  chooseEntry: t("Choose first the entry that stands."),
  stands: t("This one stands"),
  standsNow: t("It stands; the others are left out and stay stored."),
  seeRow: t("See the row"),
} as const;
