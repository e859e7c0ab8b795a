/** Every sentence the screens show. English first; one word per thing, as in the project's glossary. */

import type { BlockSummary, BlockVerdict, Habit, Method, Role, TreeVerdict } from "./contracts";
import type { ScreenName } from "./place";
import { rows, trees } from "./counted";
import { t, tn } from "./language";
import { count } from "./numbers";

export const SCREEN_WORD: Record<ScreenName, string> = {
  overview: t("Overview"),
  rows: t("Rows"),
  checks: t("Checks"),
  quality: t("Quality"),
  settling: t("To settle"),
  briefs: t("Briefs"),
  timing: t("Timing"),
  people: t("People"),
  "set-up": t("Set-up"),
  "sign-in": t("Sign in"),
  "first-start": t("First start"),
  pair: t("Pair this tablet"),
};
export const TREE_VERDICT: Record<TreeVerdict, string> = {
  meets: t("Meets the brief"),
  minor: t("Minor faults"),
  faulty: t("Faulty"),
};
export const LOT_VERDICT: Record<BlockVerdict, string> = {
  not_begun: t("not begun"),
  accepted: t("accepted"),
  accepted_in_part: t("accepted as far as judged"),
  send_back: t("send back"),
  too_few: t("too few checks"),
};
/** Say the verdict on a block, and of how many of its pruned trees it speaks where that is not nearly all. */
export function blockVerdict({ verdict, pruned, uninspected = 0 }: Pick<BlockSummary, "verdict" | "pruned" | "uninspected">): string {
  if (verdict !== "accepted_in_part") return LOT_VERDICT[verdict];
  return t("accepted as far as judged: {judged} of {trees}", { judged: count(pruned - uninspected), trees: trees(pruned) });
}
type Lot = Pick<BlockSummary, "checked" | "drawn" | "drawn_faulty" | "faulty_gone_over" | "must_check" | "may_fail">;

/** Say what a verdict rests on, in the numbers it was made from: trees drawn by plan, the faulty ones, how many may be. */
export function lotWords({ checked, drawn, drawn_faulty, faulty_gone_over: mended = 0, must_check, may_fail }: Lot): string {
  const isShort = must_check !== null && drawn < must_check;
  const [seen, faulty] = [count(drawn), count(drawn_faulty)];
  const drawnWords = [
    isShort ? t("drawn {drawn} of {wanted}", { drawn: seen, wanted: count(must_check) }) : t("drawn {drawn}", { drawn: seen }),
    mended > 0 && drawn_faulty === 0
      ? ""
      : may_fail === null ? t("{faulty} faulty", { faulty }) : t("{faulty} faulty (at most {most})", { faulty, most: count(may_fail) }),
    mended > 0 ? tn("{n} was faulty, gone over since", "{n} were faulty, gone over since", mended) : "",
  ]
    .filter((part) => part !== "")
    .join(", ");
  const apart = checked - drawn;
  return [
    drawn === 0 && must_check === null ? t("none drawn") : drawnWords,
    apart > 0 ? tn("{n} seen while walking", "{n} seen while walking", apart) : "",
  ]
    .filter((part) => part !== "")
    .join("; ");
}

export const METHOD: Record<Method, string> = { ladder: t("Ladder"), platform: t("Platform"), ground: t("Ground") };
export const HABIT: Record<Habit, string> = {
  spur: t("spur bearer"),
  tip: t("tip bearer"),
  both: t("spur and tip bearer"),
  unknown: t("bearing habit not known"),
};
export const ROLE: Record<Role, string> = {
  manager: t("manager"),
  foreman: t("foreman"),
  auditor: t("auditor"),
  adviser: t("adviser"),
  worker: t("worker"),
};

export const SHELL = {
  product: "orchardmap",
  farm: t("Farm"),
  screens: t("Screens"),
  language: t("Language"),
  noSeason: t("no season yet"),
  skip: t("To the content"),
  connecting: t("Asking the service…"),
  connected: (hour: string) => t("Connected. Last answer {hour}.", { hour }),
  noConnection: t("No connection to the service."),
  noAnswer: t("The service did not answer. See that it runs and that this device has a connection, then try again."),
  tryAgain: t("Try again"),
  savedNow: (n: number) => tn("{n} record sent.", "{n} records sent.", n),
  understood: t("Understood"),
  loading: t("Loading…"),
  choose: t("Choose…"),
} as const;

export const OVERVIEW = {
  title: t("Overview"),
  day: t("As of"),
  notYet: t("That day has not come yet."),
  pruned: t("pruned"),
  prunedOf: (done: number, all: number) => t("{part} of {all}.", { part: count(done), all: trees(all) }),
  rowsDone: (done: number, all: number) => t("{done} of {rows} finished.", { done: count(done), rows: rows(all) }),
  left: (left: number) => tn("tree left", "trees left", left),
  toDate: (left: number | null, date: string) =>
    left === null
      ? t("Must finish {date}.", { date })
      : tn("{n} working day to {date}.", "{n} working days to {date}.", left, { date }),
  needs: (perDay: number) => t("Needs {trees} a day.", { trees: count(Math.ceil(perDay)) }),
  recent: (perDay: number, worked: number) =>
    tn("The one day worked made {trees}.", "The last {n} worked days made {trees} a day.", worked, { trees: count(perDay) }),
  noRecent: t("Nothing marked yet, so no pace is known."),
  nothingLeft: t("Every tree is pruned."),
  noSeason: t("No season yet. Open one in Set-up: its must-finish date tells what is needed each day."),
  meet: t("meet the brief"),
  meetCount: (meets: number, checked: number) => t("{part} of {all} checked.", { part: count(meets), all: trees(checked) }),
  drawn: (n: number, faulty: number) =>
    t("Drawn by plan: {drawn}, {faulty} of them faulty; the verdicts rest on these.", { drawn: count(n), faulty: count(faulty) }),
  goneOver: (n: number) => (n === 0 ? "" : tn("{n} gone over again since its check.", "{n} gone over again since their checks.", n)),
  pace: (made: number, needed: number, worked: number) => {
    const values = { made: count(made), needed: count(Math.ceil(needed)) };
    return made >= needed
      ? tn(
          "{made} a day made on the one day worked, {needed} needed: on course.",
          "{made} a day made over the last {n} worked days, {needed} needed: on course.",
          worked,
          values,
        )
      : tn(
          "{made} a day made on the one day worked, {needed} needed: short.",
          "{made} a day made over the last {n} worked days, {needed} needed: short.",
          worked,
          values,
        );
  },
  faults: (minor: number, faulty: number) =>
    t("{minor} with minor faults, {faulty} faulty.", { minor: count(minor), faulty: count(faulty) }),
  lots: (accepted: number, all: number) =>
    all === 0
      ? t("No block has a verdict yet.")
      : t("Blocks accepted: {accepted} of {all}.", { accepted: count(accepted), all: count(all) }),
  inPart: (n: number) => (n === 0 ? "" : t("Accepted as far as judged: {n}.", { n: count(n) })),
  tooFew: (n: number) => (n === 0 ? "" : t("Too few checks: {n}.", { n: count(n) })),
  treesChecked: (n: number) => tn("tree checked.", "trees checked.", n),
  noChecks: t("An auditor records the first one under Checks."),
  overlap: (n: number) =>
    tn(
      "{n} tree claimed by two crews. See the row, ask both foremen, then settle who is credited.",
      "{n} trees claimed by two crews. See the row, ask both foremen, then settle who is credited.",
      n,
    ),
  overlapRow: (code: string, row: number) => t("{code}, row {row}", { code, row }),
  setAside: (n: number) =>
    tn(
      "{n} record set aside: stored, not counted. See each with its reason, and say whether it counts.",
      "{n} records set aside: stored, not counted. See each with its reason, and say whether it counts.",
      n,
    ),
  toSettle: t("Settle"),
  blockAside: (code: string, n: number) => `${code}: ${count(n)}`,
  nothingToSettle: t("Nothing waits for you: no overlap, nothing set aside, nothing to send back or to check anew."),
  needsYou: t("Needs you"),
  stillLooking: t("Looking at quality and weather too…"),
  notLooked: (what: string) => t("No answer about {what}, so this list may not be whole.", { what }),
  map: t("Map of the farm"),
  newer: (n: number) => tn("{n} new record since this was drawn.", "{n} new records since this was drawn.", n),
  drawAgain: t("Draw again"),
  blocks: t("Blocks"),
  noBlocks: t("No blocks yet: load a file in Set-up."),
  toSetUp: t("Go to Set-up"),
  columns: { block: t("Block"), variety: t("Variety"), trees: t("Trees"), pruned: t("Pruned"), checks: t("Drawn trees"), verdict: t("Verdict") },
  closed: (until: string) => t("closed until {until}", { until }),
} as const;
