/** Every sentence the screens show. English first; one word per thing, as in the project's glossary. */

import type { BlockSummary, BlockVerdict, Habit, Method, Role, TreeVerdict } from "./contracts";
import type { ScreenName } from "./place";
import { count } from "./numbers";

const trees = (n: number): string => (n === 1 ? "1 tree" : `${count(n)} trees`);
const rows = (n: number): string => (n === 1 ? "1 row" : `${count(n)} rows`);
const days = (n: number): string => (n === 1 ? "1 working day" : `${count(n)} working days`);

export const SCREEN_WORD: Record<ScreenName, string> = {
  overview: "Overview",
  rows: "Rows",
  checks: "Checks",
  settling: "To settle",
  timing: "Timing",
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
