/** The sentences of the settling screen: overlaps, records set aside, crew-days entered twice. */

import { count, dayText, measure } from "./numbers";
import type { RecordKind } from "./matters";

const trees = (n: number): string => (n === 1 ? "1 tree" : `${count(n)} trees`);
const stretch = (first: number, last: number): string =>
  first === last ? `position ${first}` : `positions ${first} to ${last}`;

export const RECORD: Record<RecordKind, string> = {
  mark: "Mark",
  withdrawal: "Withdrawal",
  check: "Check",
  crew_day: "Crew-day",
  tree_count: "Tree count",
};

/** What to do about a record that no word of the manager can make count, by the reason's code. */
const OTHERWISE: Record<string, string> = {
  unknown_block: "The block is not in the plan. Load it in Set-up; then the foreman marks the rows again.",
  unknown_row: "The block has no such row. Ask the foreman which row it was; it is marked again, and this record left out.",
  unknown_crew: "The crew is not known here. Ask who pruned; it is marked again for the right crew, and this record left out.",
  unknown_season: "The season is not known here. Mark again in the open season, and leave this record out.",
  no_stretch: "It names no position. Ask the foreman, mark again, and leave this record out.",
  no_tree_there: "No tree stands there. Look at the tree again, check it at its right position, and leave this record out.",
  unknown_return: "The return it answers is not known. Mark again, and leave this record out.",
};

export const SETTLING = {
  title: "To settle",
  purpose:
    "Here you settle what the rules cannot: trees that two crews claim, records that were stored but do not fit, crew-days entered twice. Nothing is thrown away: a settlement is one more record, and another one can follow.",
  nothing: "Nothing waits to be settled.",
  counts: (overlaps: number, aside: number, crewDays: number) =>
    [
      overlaps === 0 ? "" : overlaps === 1 ? "1 overlap" : `${count(overlaps)} overlaps`,
      aside === 0 ? "" : aside === 1 ? "1 record set aside" : `${count(aside)} records set aside`,
      crewDays === 0 ? "" : crewDays === 1 ? "1 crew-day entered twice" : `${count(crewDays)} crew-days entered twice`,
    ]
      .filter((part) => part !== "")
      .join(", "),
  newer: (n: number) => `${n === 1 ? "1 new record" : `${count(n)} new records`} since this was read.`,
  readAgain: "Read again",
  overlaps: "Claimed by two crews",
  place: (block: string, row: number) => `Block ${block}, row ${row}`,
  contested: (first: number, last: number, n: number) => `Contested: ${stretch(first, last)}, ${trees(n)}. They count once and are credited to nobody yet.`,
  reopened: "Re-opened",
  heldBefore: (day: string, credited: string) => `Settled ${day}, ${credited}; then more came in.`,
  cameSince: "came in since",
  creditedTo: (crew: string) => `credited to ${crew}`,
  creditedToNobody: "credited to nobody",
  claimOf: (crew: string, parts: string) => `${crew} claims ${parts}`,
  part: stretch,
  picture: (claims: string) => `The row: ${claims}.`,
  marks: "What was marked",
  columns: { crew: "Crew", positions: "Positions", day: "Day worked", taken: "Reached us", by: "By" },
  by: (recorder: string, tablet: string) => [recorder, tablet].filter((part) => part !== "").join(", ") || "not said",
  tablet: (name: string) => `on ${name}`,
  choose: "Who pruned these trees?",
  all: (crew: string) => `${crew}, all of them`,
  split: "Both: split at a position",
  nobody: "Neither: credit nobody",
  nobodyNote: "The trees stay pruned; no crew is credited.",
  splitFirst: (from: number) => `Up to position ${from - 1}`,
  splitSecond: (from: number) => `From position ${from}`,
  splitAt: "Second part begins at position",
  oneLess: "One position less",
  oneMore: "One position more",
  swap: "The other way round",
  note: "Note, optional",
  noteHint: "Why; no names of people.",
  settle: "Settle",
  chooseFirst: "Choose first who pruned these trees.",
  settling: "Settling…",
  settled: (parts: string) => `Settled: ${parts}.`,
  settledPart: (first: number, last: number, credited: string) => `${stretch(first, last)} ${credited}`,
  notSettled: "Not settled yet: no answer from the service. Your choice is kept here; try again.",
  half: "The first part is settled, the second not yet. Try again: nothing is settled twice.",
  moved: "The service has another settlement under this id. Read again, look at the row, and settle anew.",
  aside: "Set aside",
  asideLead: "Stored, not counted.",
  recordLine: (kind: RecordKind, block: string, row: number | null) =>
    [RECORD[kind], block === "" ? "" : `block ${block}`, row === null ? "" : `row ${row}`].filter((part) => part !== "").join(", "),
  asideReopened: "You settled this before; then another version came in.",
  versions: (n: number) => `${n} versions came in under one id. What differs is marked.`,
  version: (n: number) => `Version ${n}`,
  fields: { reason: "Why it is set aside", block_id: "Block", row: "Row", positions: "Positions", crew_id: "Crew", day: "Day", taken: "Reached us" },
  differs: "differs",
  notSaid: "not said",
  letCount: "Let it count",
  letVersionCount: (n: number) => `Let version ${n} count`,
  leaveOut: "Leave it out",
  leaveAllOut: "Leave all out",
  counted: "It counts from now on.",
  leftOut: "It is left out; it stays stored.",
  cannotCount: (code: string) =>
    OTHERWISE[code] ?? "This record cannot count as it is. Ask who made it; what is right is recorded again, and this one left out.",
  crewDays: "Crew-days entered twice",
  crewDayLine: (crew: string, day: string, method: string) => `${crew}, ${dayText(day)}, ${method}`,
  crewDayLead: "One crew has one crew-day for each day and method. Choose the one that stands.",
  entry: (people: number, hours: number) => `${people === 1 ? "1 person" : `${count(people)} people`}, ${measure(hours)} hours each`,
  chooseEntry: "Choose first the entry that stands.",
  stands: "This one stands",
  standsNow: "It stands; the others are left out and stay stored.",
  seeRow: "See the row",
} as const;
