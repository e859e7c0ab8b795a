/** Every sentence of the foreman's screen: rows, marks, walking order, where am I. */

import { people, rows, stretch, trees } from "./counted";
import { t, tn } from "./language";
import { count, measure, orList, percent } from "./numbers";
import type { RowEnd } from "./walking";

export const END: Record<RowEnd, string> = { first: t("first end"), far: t("far end") };

export const ROWS = {
  title: t("Rows"),
  whichCrew: t("Which crew prunes with this tablet?"),
  whichCrewNote: t("Picked once for this device; change it any time."),
  noCrews: t("No crew yet: add one in Set-up."),
  noBlocks: t("No blocks yet: load a file in Set-up."),
  noSeason: t("No season is open: open one in Set-up, then rows can be marked."),
  crew: t("Crew"),
  crewNone: t("No crew picked: rows can be seen, not marked"),
  pickCrew: t("Pick the crew"),
  pickCrewFirst: t("Pick the crew first: a mark says which crew pruned."),
  changeCrew: t("Change crew"),
  day: t("Day worked"),
  method: t("Method"),
  markedWith: (day: string, method: string) => t("Marks: {day} · {method}", { day, method }),
  pickBlock: t("Pick a block"),
  ownBlocks: t("Your blocks, in order"),
  againBlocks: t("Trees to go over again"),
  otherBlocks: t("Other blocks"),
  otherBlock: t("Other block"),
  blockLine: (pruned: number, all: number) => t("{part} of {all}", { part: percent(pruned, all), all: trees(all) }),
  closed: (until: string, reason: string) => t("Closed: {reason}. It opens again {until}.", { reason, until }),
  howTo: t("Tap a row: all that is left of it is pruned. Drag its end: up to that position."),
  row: (n: number) => t("Row {n}", { n }),
  rowState: (pruned: number, all: number) => (pruned >= all ? t("done") : t("{part} of {all}", { part: count(pruned), all: count(all) })),
  rowTap: (pruned: number, all: number) => (pruned >= all ? "" : ` ${t("trees pruned: mark all that is left")}`),
  rowSaving: t("keeping…"),
  rowWaits: t("on this tablet"),
  rowNotSaved: t("NOT safe"),
  rowSendAgain: `: ${t("tap to try again")}`,
  rowWord: `${t("Row")} `,
  walkedFrom: (end: RowEnd) => `, ${t("walked from its {end}", { end: END[end] })}`,
  dragLabel: (n: number) => t("Set how far the crew came in row {n}", { n }),
  overlapNote: (n: number) => t("two crews: {n}", { n: count(n) }),
  choosing: (row: number, first: number, last: number, n: number) => t("Row {row}, {part}: {trees}", { row, part: stretch(first, last), trees: trees(n) }),
  lastPosition: t("Up to position"),
  fromPosition: t("Back to position"),
  oneLess: t("One position less"),
  oneMore: t("One position more"),
  beganAt: (end: RowEnd) => t("Began at the {end}", { end: END[end] }),
  turn: (end: RowEnd) => t("Began at the {end} instead", { end: END[end] }),
  markIt: t("Mark pruned"),
  leaveIt: t("Leave it"),
  nothingLeft: (row: number) => t("Row {row} is done already: nothing of it is left to mark.", { row }),
  nothingThere: t("Those positions are pruned already."),
  ours: t("Our crew pruned it"),
  claim: (crews: string) =>
    t("Marked by {crews}. If your crew did it, say so: both marks are kept and the manager settles the overlap.", { crews }),
  marked: (row: number, parts: string, n: number) => t("Marked: row {row}, {parts}: {trees}.", { row, parts, trees: trees(n) }),
  markedRows: (numbers: string, n: number) => t("Marked: rows {numbers}: {trees}.", { numbers, trees: trees(n) }),
  part: stretch,
  undo: (row: number) => t("Undo row {row}", { row }),
  undoRows: (n: number) => tn("Undo {n} row", "Undo {n} rows", n),
  /** Begins with the words that are seen, so that whoever speaks them is understood. */
  undoLabel: (words: string, numbers: string) => t("{words}: rows {numbers}", { words, numbers }),
  rowsChanged: t("The rows of this block were changed just now. Look at the row's number before you mark."),
  noSuchBlock: (name: string) => t("No block here goes by “{name}”. Pick the block from the list.", { name }),
  inBlock: (text: string, code: string) => t("{text} of {code}", { text, code }),
  undone: (row: number) => t("Taken back: row {row}.", { row }),
  undoneRows: (numbers: string) => t("Taken back: rows {numbers}.", { numbers }),
  undoneButClaimed: (row: number, parts: string) => t("Taken back; another mark still claims {parts} of row {row}.", { parts, row }),
  setAside: (row: number, why: string) => t("Row {row} set aside, stored but not counted: {why}", { row, why }),
  notCounted: t("Not counted"),
  setAsideBecause: (why: string) => t("set aside: {why}", { why }),
  notCountedTodo:
    t("What is set aside is stored, and the manager can let it count. What was not taken is on this tablet only. Mark again what is right."),
  notSaved: (row: number) =>
    t("Row {row} is NOT safe: this tablet could not keep it, and there is no connection. Tap it again.", { row }),
  refused: (why: string) => t("NOT taken: {why}", { why }),
  firstLeft: t("To the next row"),
  finishedBefore: (n: number) => tn("{n} finished row before", "{n} finished rows before", n),
  hideFinished: t("Hide the finished rows"),
  overlapRows: (numbers: string) => t("Claimed by two crews: row {numbers}", { numbers }),
  overlapTodo: t("Ask the other foreman. Take your mark back if it is wrong; else leave it, and the manager settles it. Until then the trees count once."),
  reopenedTodo: t("The manager settled this once; a later mark opened it again, and the manager settles it anew."),
  seeRow: t("See the row"),
  lastMarks: t("Your crew's marks of this day"),
  noMarks: t("None yet in this block."),
  allMarks: t("All marks of this block, every crew"),
  noMarksRead: t("They could not be read: no connection."),
  barLabel: t("Mark and undo"),
  takeBack: t("Take back"),
  markLine: (row: number, first: number, last: number) => t("Row {row}, {part}", { row, part: stretch(first, last) }),
  taken: t("taken back"),
  waits: t("on this tablet"),
  noRows: t("This block has no rows: its outline left no room for any. Look at it in Set-up."),
  legend: {
    pruned: t("pruned"),
    left: t("still to prune"),
    overlap: t("claimed by two crews"),
    again: t("to go over again"),
    blank: t("blank"),
    pollinizer: t("pollinizer"),
  },
} as const;

/** Say that a block has no such row, and which rows it has. */
export function noSuchRow(code: string, row: number, rows: readonly { n: number }[]): string {
  const numbers = rows.map(({ n }) => n);
  if (numbers.length === 0) {
    return t("Block {code} has no row {row}: it has none at all. Look at the row end again, or type the number.", { code, row });
  }
  const [from, to] = [Math.min(...numbers), Math.max(...numbers)];
  return t("Block {code} has no row {row}: its rows go from {from} to {to}. Look at the row end again, or type the number.", {
    code,
    row,
    from,
    to,
  });
}

/** Tools at the foot of the rows. */
export const TOOLS = {
  label: t("Tools"),
  byNumber: t("By number"),
  walk: t("Walk"),
  knockOff: t("Knock-off"),
  brief: t("Brief"),
  tablet: t("Tablet"),
} as const;

export const BY_NUMBER = {
  title: t("Rows by number"),
  hint: t("Type a row, or first and last."),
  to: t("to"),
  delete: t("Delete"),
  show: t("Show the row"),
  mark: (n: number) => tn("Mark {n} row", "Mark {n} rows", n),
  summary: (n: number, all: number) => t("{rows}, {trees} to mark.", { rows: rows(n), trees: trees(all) }),
  done: (numbers: string, n: number) => tn("Done already: row {numbers}.", "Done already: rows {numbers}.", n, { numbers }),
  again: (numbers: string) => t("To go over again: {numbers}. That has a mark of its own under each row.", { numbers }),
  shared: (numbers: string, n: number) =>
    tn("Partly another crew's, left out: row {numbers}.", "Partly another crew's, left out: rows {numbers}.", n, { numbers }),
  missing: (n: number) => tn("{n} number is no row of this block.", "{n} numbers are no rows of this block.", n),
  none: t("No row of this block has that number."),
  nothing: t("Nothing of it is left to mark."),
  whereAmI: t("Where am I?"),
  looking: t("Looking for the position…"),
  near: (radius_m: number, numbers: readonly number[]) =>
    t("Within about {radius} m: row {numbers}.", { radius: measure(Math.max(1, Math.round(radius_m))), numbers: orList(numbers) }),
  decide: t("Tap the row you stand in, or type its number."),
  elsewhere: t("The position lies in no row of this block. Type the row's number."),
  denied: t("This tablet does not tell its position. Type the row's number."),
  unknown: t("No position could be found. Type the row's number."),
  pick: (row: number) => t("Row {n}", { n: row }),
  scan: t("Scan the row end"),
  scanning: t("Hold the code of the row end before the camera."),
  stopScan: t("Stop"),
  noCamera: (why: string): string =>
    why === ""
      ? t("The camera is not to be had. Type the row's number.")
      : t("The camera is not to be had ({why}). Type the row's number.", { why }),
  noCode: t("That code is no row end of this farm."),
  otherBlock: (code: string, row: number) => t("That is row {row} of block {code}.", { row, code }),
  goThere: (code: string) => t("Open {code}", { code }),
  cameraLabel: t("Picture of the camera"),
} as const;

export const WALK = {
  startRow: t("First row"),
  less: t("One row less"),
  more: t("One row more"),
  side: t("Row numbers"),
  up: t("go up"),
  down: t("go down"),
  end: t("Begin at"),
  endWords: (end: RowEnd, compass: string) => t("{compass} ({end})", { compass, end: END[end] }),
  pass: t("In one pass"),
  one: t("one row"),
  two: t("both rows of an alley"),
  use: t("Walk like this"),
} as const;

export const COMPASS = [
  t("north"),
  t("north-east"),
  t("east"),
  t("south-east"),
  t("south"),
  t("south-west"),
  t("west"),
  t("north-west"),
] as const;

export const TABLET = {
  hand: t("Held with"),
  right: t("left hand, right hand taps"),
  left: t("right hand, left hand taps"),
  light: t("Screen"),
  auto: t("as the tablet"),
  day: t("light"),
  night: t("dark"),
} as const;

export const KNOCK_OFF = {
  title: t("Knock-off"),
  people: t("People"),
  hours: t("Hours each"),
  lessPeople: t("One person less"),
  morePeople: t("One person more"),
  lessHours: t("Half an hour less"),
  moreHours: t("Half an hour more"),
  day: t("Day worked"),
  method: t("Method"),
  work: (crew: string, all: number, n: number, blocks: string) =>
    all === 0
      ? t("{crew}: nothing marked on this day.", { crew })
      : t("{crew}: {trees} in {rows} of {blocks}.", { crew, trees: trees(all), rows: rows(n), blocks }),
  partly: t("Some blocks could not be read; their rows are not in it."),
  pace: (perHour: number) => t("{pace} trees per person-hour.", { pace: measure(perHour) }),
  noPace: t("No pace without marked trees."),
  enter: t("Enter the day"),
  correct: t("Correct the day"),
  entered: (n: number, hours: number) =>
    t("Entered: {people}, {hours} hours each.", { people: people(n), hours: measure(hours) }),
  several: t("Two entries stand for this day. Correct it to say which is right; the manager sees both."),
  notSafe: t("NOT safe: this tablet could not keep it, and there is no connection. Try again."),
  back: t("Back"),
  loading: t("Reading the day…"),
} as const;
