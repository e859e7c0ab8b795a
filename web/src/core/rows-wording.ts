/** Every sentence of the foreman's screen: rows, marks, walking order, where am I. */

import { count, measure, percent } from "./numbers";
import type { RowEnd } from "./walking";

const trees = (n: number): string => (n === 1 ? "1 tree" : `${count(n)} trees`);
const rowsWord = (n: number): string => (n === 1 ? "row" : "rows");
/** Numbers along a row are positions; trees are what stands on them. */
const stretch = (first: number, last: number): string =>
  first === last ? `position ${first}` : `positions ${first} to ${last}`;
const orList = (numbers: readonly number[]): string =>
  numbers.length < 2 ? numbers.join("") : `${numbers.slice(0, -1).join(", ")} or ${numbers.at(-1)}`;

export const END: Record<RowEnd, string> = { first: "first end", far: "far end" };

export const ROWS = {
  title: "Rows",
  whichCrew: "Which crew prunes with this tablet?",
  whichCrewNote: "Picked once for this device; change it any time.",
  noCrews: "No crew yet: add one in Set-up.",
  noBlocks: "No blocks yet: load a file in Set-up.",
  noSeason: "No season is open: open one in Set-up, then rows can be marked.",
  crew: "Crew",
  crewNone: "No crew picked: rows can be seen, not marked",
  pickCrew: "Pick the crew",
  pickCrewFirst: "Pick the crew first: a mark says which crew pruned.",
  changeCrew: "Change crew",
  day: "Day worked",
  method: "Method",
  markedWith: (day: string, method: string) => `Marks: ${day} · ${method}`,
  pickBlock: "Pick a block",
  otherBlock: "Other block",
  blockLine: (pruned: number, all: number) => `${percent(pruned, all)} of ${trees(all)}`,
  closed: (until: string, reason: string) => `Closed: ${reason}. It opens again ${until}.`,
  cautionsFirst: "Read “Before you start” first; then rows can be marked.",
  howTo: "Tap a row: all that is left of it is pruned. Drag its end: up to that position.",
  row: (n: number) => `Row ${n}`,
  rowState: (pruned: number, all: number) => (pruned >= all ? "done" : `${count(pruned)} of ${count(all)}`),
  rowTap: (pruned: number, all: number) => (pruned >= all ? "" : " trees pruned: mark all that is left"),
  rowSaving: "keeping…",
  rowWaits: "on this tablet",
  rowNotSaved: "NOT safe",
  rowSendAgain: ": tap to try again",
  rowWord: "Row ",
  walkedFrom: (end: RowEnd) => `, walked from its ${END[end]}`,
  dragLabel: (n: number) => `Set how far the crew came in row ${n}`,
  overlapNote: (n: number) => `two crews: ${count(n)}`,
  choosing: (row: number, first: number, last: number, n: number) => `Row ${row}, ${stretch(first, last)}: ${trees(n)}`,
  lastPosition: "Up to position",
  fromPosition: "Back to position",
  oneLess: "One position less",
  oneMore: "One position more",
  beganAt: (end: RowEnd) => `Began at the ${END[end]}`,
  turn: (end: RowEnd) => `Began at the ${END[end]} instead`,
  markIt: "Mark pruned",
  leaveIt: "Leave it",
  nothingLeft: (row: number) => `Row ${row} is done already: nothing of it is left to mark.`,
  nothingThere: "Those positions are pruned already.",
  ours: "Our crew pruned it",
  claim: (crews: string) => `Marked by ${crews}. If your crew did it, say so: both marks are kept and the manager settles the overlap.`,
  marked: (row: number, parts: string, n: number) => `Marked: row ${row}, ${parts}: ${trees(n)}.`,
  markedRows: (numbers: string, n: number) => `Marked: rows ${numbers}: ${trees(n)}.`,
  part: stretch,
  undo: (row: number) => `Undo row ${row}`,
  undoRows: (n: number) => `Undo ${count(n)} rows`,
  /** Begins with the words that are seen, so that whoever speaks them is understood. */
  undoLabel: (words: string, numbers: string) => `${words}: rows ${numbers}`,
  noSuchBlock: (name: string) => `No block here goes by “${name}”. Pick the block from the list.`,
  inBlock: (text: string, code: string) => `${text} of ${code}`,
  undone: (row: number) => `Taken back: row ${row}.`,
  undoneRows: (numbers: string) => `Taken back: rows ${numbers}.`,
  undoneButClaimed: (row: number, parts: string) => `Taken back; another mark still claims ${parts} of row ${row}.`,
  setAside: (row: number, why: string) => `Row ${row} set aside, stored but not counted: ${why}`,
  notCounted: "Not counted",
  setAsideBecause: (why: string) => `set aside: ${why}`,
  notCountedTodo:
    "What is set aside is stored, and the manager can let it count. What was not taken is on this tablet only. Mark again what is right.",
  notSaved: (row: number) => `Row ${row} is NOT safe: this tablet could not keep it, and there is no connection. Tap it again.`,
  refused: (why: string) => `NOT taken: ${why}`,
  firstLeft: "To the next row",
  finishedBefore: (n: number) => (n === 1 ? "1 finished row before" : `${count(n)} finished rows before`),
  hideFinished: "Hide the finished rows",
  overlapRows: (numbers: string) => `Claimed by two crews: row ${numbers}`,
  overlapTodo: "Ask the other foreman. Take your mark back if it is wrong; else leave it, and the manager settles it. Until then the trees count once.",
  reopenedTodo: "The manager settled this once; a later mark opened it again, and the manager settles it anew.",
  seeRow: "See the row",
  lastMarks: "Your crew's marks of this day",
  noMarks: "None yet in this block.",
  allMarks: "All marks of this block, every crew",
  noMarksRead: "They could not be read: no connection.",
  barLabel: "Mark and undo",
  takeBack: "Take back",
  markLine: (row: number, first: number, last: number) => `Row ${row}, ${stretch(first, last)}`,
  taken: "taken back",
  waits: "on this tablet",
  noRows: "This block has no rows: its outline left no room for any. Look at it in Set-up.",
  legend: {
    pruned: "pruned",
    left: "still to prune",
    overlap: "claimed by two crews",
    again: "to go over again",
    blank: "blank",
    pollinizer: "pollinizer",
  },
} as const;

/** Say that a block has no such row, and which rows it has. */
export function noSuchRow(code: string, row: number, rows: readonly { n: number }[]): string {
  const numbers = rows.map(({ n }) => n);
  const range = numbers.length === 0 ? "it has none at all" : `its rows go from ${Math.min(...numbers)} to ${Math.max(...numbers)}`;
  return `Block ${code} has no row ${row}: ${range}. Look at the row end again, or type the number.`;
}

/** Tools at the foot of the rows. */
export const TOOLS = {
  label: "Tools",
  byNumber: "By number",
  walk: "Walk",
  knockOff: "Knock-off",
  brief: "Brief",
  tablet: "Tablet",
} as const;

export const BY_NUMBER = {
  title: "Rows by number",
  hint: "Type a row, or first and last.",
  to: "to",
  delete: "Delete",
  show: "Show the row",
  mark: (n: number) => `Mark ${count(n)} ${rowsWord(n)}`,
  summary: (n: number, all: number) => `${count(n)} ${rowsWord(n)}, ${trees(all)} to mark.`,
  done: (numbers: string, n: number) => `Done already: ${rowsWord(n)} ${numbers}.`,
  shared: (numbers: string, n: number) => `Partly another crew's, left out: ${rowsWord(n)} ${numbers}.`,
  missing: (n: number) => (n === 1 ? "1 number is no row of this block." : `${count(n)} numbers are no rows of this block.`),
  none: "No row of this block has that number.",
  nothing: "Nothing of it is left to mark.",
  whereAmI: "Where am I?",
  looking: "Looking for the position…",
  near: (radius_m: number, numbers: readonly number[]) => `Within about ${measure(Math.max(1, Math.round(radius_m)))} m: row ${orList(numbers)}.`,
  decide: "Tap the row you stand in, or type its number.",
  elsewhere: "The position lies in no row of this block. Type the row's number.",
  denied: "This tablet does not tell its position. Type the row's number.",
  unknown: "No position could be found. Type the row's number.",
  pick: (row: number) => `Row ${row}`,
  scan: "Scan the row end",
  scanning: "Hold the code of the row end before the camera.",
  stopScan: "Stop",
  noCamera: (why: string): string => `The camera is not to be had${why === "" ? "" : ` (${why})`}. Type the row's number.`,
  noCode: "That code is no row end of this farm.",
  otherBlock: (code: string, row: number) => `That is row ${row} of block ${code}.`,
  goThere: (code: string) => `Open ${code}`,
  cameraLabel: "Picture of the camera",
} as const;

export const WALK = {
  startRow: "First row",
  less: "One row less",
  more: "One row more",
  side: "Row numbers",
  up: "go up",
  down: "go down",
  end: "Begin at",
  endWords: (end: RowEnd, compass: string) => `${compass} (${END[end]})`,
  pass: "In one pass",
  one: "one row",
  two: "both rows of an alley",
  use: "Walk like this",
} as const;

export const COMPASS = ["north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west"] as const;

export const TABLET = {
  hand: "Held with",
  right: "left hand, right hand taps",
  left: "right hand, left hand taps",
  light: "Screen",
  auto: "as the tablet",
  day: "light",
  night: "dark",
  language: "Language of briefs",
} as const;

export const KNOCK_OFF = {
  title: "Knock-off",
  people: "People",
  hours: "Hours each",
  lessPeople: "One person less",
  morePeople: "One person more",
  lessHours: "Half an hour less",
  moreHours: "Half an hour more",
  day: "Day worked",
  method: "Method",
  work: (crew: string, all: number, rows: number, blocks: string) =>
    all === 0 ? `${crew}: nothing marked on this day.` : `${crew}: ${trees(all)} in ${count(rows)} ${rowsWord(rows)} of ${blocks}.`,
  partly: "Some blocks could not be read; their rows are not in it.",
  pace: (perHour: number) => `${measure(perHour)} trees per person-hour.`,
  noPace: "No pace without marked trees.",
  enter: "Enter the day",
  correct: "Correct the day",
  entered: (people: number, hours: number) =>
    `Entered: ${people === 1 ? "1 person" : `${count(people)} people`}, ${measure(hours)} hours each.`,
  several: "Two entries stand for this day. Correct it to say which is right; the manager sees both.",
  notSafe: "NOT safe: this tablet could not keep it, and there is no connection. Try again.",
  back: "Back",
  loading: "Reading the day…",
} as const;
