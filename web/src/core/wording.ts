/** Sentences that several screens show. English first; one word per thing, as in the project's glossary. */

import type { BlockSummary, BlockVerdict, Habit, Method, Role, TreeVerdict } from "./contracts";
import type { ScreenName } from "./place";
import { trees } from "./counted";
import { t, tn } from "./language";
import { count } from "./numbers";

export const SCREEN_WORD: Record<ScreenName, string> = {
  overview: t("Overview"),
  rows: t("Rows"),
  checks: t("Checks"),
  quality: t("Quality"),
  settling: t("To settle"),
  forecast: t("Forecast"),
  plan: t("Plan"),
  briefs: t("Briefs"),
  timing: t("Timing"),
  pay: t("Pay"),
  farms: t("Farms"),
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
type Lot = Pick<BlockSummary, "checked" | "drawn" | "drawn_faulty" | "faulty_gone_over" | "must_check" | "may_fail" | "lots_open">;

/** Say what a verdict rests on, in the numbers it was made from: trees drawn by plan, the faulty ones, how many may be. */
export function lotWords({ checked, drawn, drawn_faulty, faulty_gone_over: mended = 0, must_check, may_fail, lots_open }: Lot): string {
  // how many a lot to come will want, its plan tells
  const isUnplanned = drawn === 0 && (must_check === null || lots_open === 0);
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
    isUnplanned ? t("none drawn") : drawnWords,
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
  more: t("More"),
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
