/** Every sentence the screens show. English first; one word per thing, as in the project's glossary. */

import type { BlockSummary, BlockVerdict, Habit, Method, Role, TreeVerdict } from "./contracts";
import type { ScreenName } from "./place";
import { count, percent } from "./numbers";

const trees = (n: number): string => (n === 1 ? "1 tree" : `${count(n)} trees`);
const rows = (n: number): string => (n === 1 ? "1 row" : `${count(n)} rows`);
const days = (n: number): string => (n === 1 ? "1 working day" : `${count(n)} working days`);
/** Numbers along a row are positions; trees are what stands on them. */
const stretch = (first: number, last: number): string =>
  first === last ? `position ${first}` : `positions ${first} to ${last}`;

export const SCREEN_WORD: Record<ScreenName, string> = {
  overview: "Overview",
  rows: "Rows",
  checks: "Checks",
  settling: "To settle",
  people: "People",
  "set-up": "Set-up",
  "sign-in": "Sign in",
  "first-start": "First start",
  pair: "Pair this tablet",
};
export const TREE_VERDICT: Record<TreeVerdict, string> = {
  meets: "Meets the brief",
  minor: "Minor faults",
  faulty: "Faulty",
};
export const LOT_VERDICT: Record<BlockVerdict, string> = {
  not_begun: "not begun",
  accepted: "accepted",
  send_back: "send back",
  too_few: "too few checks",
};
type Lot = Pick<BlockSummary, "checked" | "drawn" | "drawn_faulty" | "must_check" | "may_fail">;

/** Say what a verdict rests on, in the numbers it was made from: trees drawn by plan, the faulty ones, how many may be. */
export function lotWords({ checked, drawn, drawn_faulty, must_check, may_fail }: Lot): string {
  const apart = checked - drawn;
  const most = may_fail === null ? "" : ` (at most ${count(may_fail)})`;
  const wanted = must_check === null || drawn >= must_check ? "" : ` of ${count(must_check)}`;
  return [
    drawn === 0 && must_check === null ? "none drawn" : `drawn ${count(drawn)}${wanted}, ${count(drawn_faulty)} faulty${most}`,
    apart > 0 ? `${count(apart)} seen while walking` : "",
  ]
    .filter((part) => part !== "")
    .join("; ");
}

export const METHOD: Record<Method, string> = { ladder: "Ladder", platform: "Platform", ground: "Ground" };
export const HABIT: Record<Habit, string> = {
  spur: "spur bearer",
  tip: "tip bearer",
  both: "spur and tip bearer",
  unknown: "bearing habit not known",
};
export const ROLE: Record<Role, string> = {
  manager: "manager",
  foreman: "foreman",
  auditor: "auditor",
  adviser: "adviser",
  worker: "worker",
};

export const SHELL = {
  product: "orchardmap",
  farm: "Farm",
  screens: "Screens",
  noSeason: "no season yet",
  skip: "To the content",
  connecting: "Asking the service…",
  connected: (hour: string) => `Connected. Last answer ${hour}.`,
  noConnection: "No connection to the service.",
  noAnswer: "The service did not answer. See that it runs and that this device has a connection, then try again.",
  tryAgain: "Try again",
  savedNow: (n: number) => (n === 1 ? "1 record sent." : `${count(n)} records sent.`),
  understood: "Understood",
  loading: "Loading…",
  choose: "Choose…",
} as const;

export const OVERVIEW = {
  title: "Overview",
  day: "As of",
  notYet: "That day has not come yet.",
  pruned: "pruned",
  prunedOf: (done: number, all: number) => `${count(done)} of ${trees(all)}.`,
  rowsDone: (done: number, all: number) => `${count(done)} of ${rows(all)} finished.`,
  left: (left: number) => `${left === 1 ? "tree" : "trees"} left`,
  toDate: (left: number | null, date: string) =>
    left === null ? `Must finish ${date}.` : `${days(left)} to ${date}.`,
  needs: (perDay: number) => `Needs ${count(Math.ceil(perDay))} a day.`,
  recent: (perDay: number, worked: number) =>
    worked === 1
      ? `The one day worked made ${count(perDay)}.`
      : `The last ${count(worked)} worked days made ${count(perDay)} a day.`,
  noRecent: "Nothing marked yet, so no pace is known.",
  nothingLeft: "Every tree is pruned.",
  noSeason: "No season yet. Open one in Set-up: its must-finish date tells what is needed each day.",
  meet: "meet the brief",
  meetCount: (meets: number, checked: number) => `${count(meets)} of ${trees(checked)} checked.`,
  drawn: (n: number, faulty: number) => `Drawn by plan: ${count(n)}, ${count(faulty)} of them faulty; the verdicts rest on these.`,
  pace: (made: number, needed: number, worked: number) => {
    const over = worked === 1 ? "on the one day worked" : `over the last ${count(worked)} worked days`;
    return `${count(made)} a day made ${over}, ${count(Math.ceil(needed))} needed: ${made >= needed ? "on course" : "short"}.`;
  },
  faults: (minor: number, faulty: number) => `${count(minor)} with minor faults, ${count(faulty)} faulty.`,
  lots: (accepted: number, all: number) =>
    all === 0 ? "No lot has a verdict yet." : `Lots accepted: ${count(accepted)} of ${count(all)}.`,
  tooFew: (n: number) => (n === 0 ? "" : `Too few checks: ${count(n)}.`),
  treesChecked: (n: number) => `${n === 1 ? "tree" : "trees"} checked.`,
  noChecks: "An auditor records the first one under Checks.",
  overlap: (n: number) => `${trees(n)} claimed by two crews. See the row, ask both foremen, then settle who is credited.`,
  setAside: (n: number) =>
    `${n === 1 ? "1 record" : `${count(n)} records`} set aside: stored, not counted. See each with its reason, and say whether it counts.`,
  toSettle: "Settle",
  blockAside: (code: string, n: number) => `${code}: ${count(n)}`,
  sendBack: (n: number) =>
    `${n === 1 ? "1 lot" : `${count(n)} lots`} to send back. Look at the checks, then go over the trees again with the crew.`,
  nothingToSettle: "Nothing waits for you: no overlap, nothing set aside, no lot to send back.",
  needsYou: "Needs you",
  map: "Map of the farm",
  newer: (n: number) => `${n === 1 ? "1 new record" : `${count(n)} new records`} since this was drawn.`,
  drawAgain: "Draw again",
  blocks: "Blocks",
  noBlocks: "No blocks yet: load a file in Set-up.",
  toSetUp: "Go to Set-up",
  columns: { block: "Block", variety: "Variety", trees: "Trees", pruned: "Pruned", checks: "Drawn trees", verdict: "Verdict" },
  closed: (until: string) => `closed until ${until}`,
} as const;

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
  pickBlock: "Pick a block",
  otherBlock: "Other block",
  blockLine: (pruned: number, all: number) => `${percent(pruned, all)} of ${trees(all)}`,
  closed: (until: string, reason: string) => `Closed: ${reason}. It opens again ${until}.`,
  cautionTitle: "Before you start",
  cautions: [
    "Ladder: feet firm, never over-reach, nobody below.",
    "Powered secateurs and saws: free hand well away, locked off when you move.",
    "Eyes: wear glasses; shoots spring back.",
    "Power lines: keep ladders, poles and platforms well clear. If in doubt, do not work there.",
    "Cold and wet: dry gloves, breaks, something warm.",
  ],
  cautionsDefer: "Local rules and licensed practice decide.",
  cautionsRead: "Read",
  howTo: "Tap a row: all that is left of it is pruned. Drag its end: up to that position.",
  row: (n: number) => `Row ${n}`,
  rowState: (pruned: number, all: number) => (pruned >= all ? "done" : `${count(pruned)} of ${count(all)}`),
  rowTap: (pruned: number, all: number) => (pruned >= all ? "" : " trees pruned: mark all that is left"),
  rowSaving: "saving…",
  rowNotSaved: "not saved",
  rowSendAgain: ": tap to send it again",
  rowWord: "Row ",
  dragLabel: (n: number) => `Set how far the crew came in row ${n}`,
  overlapNote: (n: number) => `two crews: ${count(n)}`,
  choosing: (row: number, first: number, last: number, n: number) => `Row ${row}, ${stretch(first, last)}: ${trees(n)}`,
  lastPosition: "Up to position",
  fromPosition: "From position",
  oneLess: "One position less",
  oneMore: "One position more",
  otherEnd: "Began at the other end",
  firstEnd: "Began at the first end",
  markIt: "Mark pruned",
  leaveIt: "Leave it",
  nothingLeft: (row: number) => `Row ${row} is done already: nothing of it is left to mark.`,
  nothingThere: "Those positions are pruned already.",
  ours: "Our crew pruned it",
  claim: (crews: string) => `Marked by ${crews}. If your crew did it, say so: both marks are kept and the manager settles the overlap.`,
  marked: (row: number, parts: string, n: number) => `Saved: row ${row}, ${parts}: ${trees(n)}.`,
  part: stretch,
  saving: (numbers: readonly number[]) => `Saving ${numbers.map((row) => `row ${row}`).join(", ")}…`,
  undo: (row: number) => `Undo row ${row}`,
  undone: (row: number) => `Taken back: row ${row}.`,
  undoneButClaimed: (row: number, parts: string) => `Taken back; another mark still claims ${parts} of row ${row}.`,
  setAside: (row: number, why: string) => `Row ${row} set aside, stored but not counted: ${why}`,
  setAsideList: "Set aside",
  setAsideBecause: (why: string) => `set aside: ${why}`,
  setAsideTodo: "Not counted. Mark again what is right, or tell the manager.",
  notSaved: (row: number) => `Row ${row} is NOT saved: no connection. Tap it again to send it again.`,
  refused: (why: string) => `NOT saved: ${why}`,
  firstLeft: "To the first row still to prune",
  overlapList: "Claimed by two crews",
  overlapTodo: "Ask both foremen, then take back the mark that is wrong. Until then the trees count once.",
  seeRow: "See the row",
  lastMarks: "Your crew's marks of this day",
  noMarks: "None yet in this block.",
  allMarks: (n: number) => `All ${n === 1 ? "mark" : `${count(n)} marks`} of this block, every crew`,
  barLabel: "Mark and undo",
  takeBack: "Take back",
  markLine: (row: number, first: number, last: number) => `Row ${row}, ${stretch(first, last)}`,
  taken: "taken back",
  noRows: "This block has no rows: its outline left no room for any. Look at it in Set-up.",
  legend: { pruned: "pruned", left: "still to prune", overlap: "claimed by two crews", again: "to go over again", blank: "blank" },
} as const;
