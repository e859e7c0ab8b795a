/** Every sentence of the overview. They come with it, not with the first load of a tablet. */

import type { Figures } from "./contracts";
import { rows, trees } from "./counted";
import { t, tn } from "./language";
import { count, dayText } from "./numbers";

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
  mustHave: (date: string) => t("It had to be finished by {date}.", { date }),
  ended: (season: string, day: string) => t("{season} ended on {day}.", { season, day: dayText(day) }),
  seasonOver: (season: string, day: string) => t("{season} ended on {day}. Open the next one before pruning begins again: what is marked until then counts for this one.", { season, day: dayText(day) }),
  openNext: t("Open the next season"),
  nextOpens: (season: string, day: string, next: string, opens: string) =>
    t("{season} ended on {day}. {next} opens on {date}.", { season, day: dayText(day), next, date: dayText(opens) }),
  tooEarly: (season: string, opens: string) => t("The first season here, {season}, opened on {date}: nothing is known of earlier days.", { season, date: dayText(opens) }),
  nothingChosen: t("No block fits what is chosen."),
  needs: (perDay: number) => t("Needs {trees} a day.", { trees: count(Math.ceil(perDay)) }),
  recent: (perDay: number, worked: number) =>
    tn("The one day worked made {trees}.", "The last {n} worked days made {trees} a day.", worked, { trees: count(perDay) }),
  noRecent: t("Nothing marked yet, so no pace is known."),
  nothingLeft: t("Every tree is pruned."),
  noSeason: t("No season yet. Open one in Set-up: its must-finish date tells what is needed each day."),
  meet: t("meet the brief"),
  looked: (meets: number, checked: number, minor: number, faulty: number) =>
    t("{part} of the {all} checked; {minor} with minor faults, {faulty} faulty.", { part: count(meets), all: trees(checked), minor: count(minor), faulty: count(faulty) }),
  /** No verdict: a straight line through what is left knows no days off, people or varieties. The forecast gives it. */
  pace: (made: number, needed: number, worked: number) =>
    tn("{made} a day made on the one day worked, {needed} needed.", "{made} a day made over the last {n} worked days, {needed} needed.", worked, {
      made: count(made),
      needed: count(Math.ceil(needed)),
    }),
  /** How many blocks have which verdict, in one sentence; those that none has are left out. */
  verdicts: ({ accepted, accepted_in_part, send_back, too_few }: Figures["lots"]) => {
    const all = accepted + accepted_in_part + send_back + too_few;
    if (all === 0) return t("No block has a verdict yet.");
    const parts = [
      t("{accepted} of {all} accepted", { accepted: count(accepted), all: count(all) }),
      accepted_in_part === 0 ? "" : t("{n} in part", { n: count(accepted_in_part) }),
      send_back === 0 ? "" : t("{n} to send back", { n: count(send_back) }),
      too_few === 0 ? "" : t("{n} with too few checks", { n: count(too_few) }),
    ].filter((part) => part !== "");
    return t("Blocks: {parts}.", { parts: parts.join(", ") });
  },
  treesChecked: (n: number) => tn("tree checked.", "trees checked.", n),
  noChecks: t("An auditor records the first one under Checks."),
  overlap: (n: number) =>
    tn(
      "{n} tree claimed by two crews. See the row, ask both foremen, then settle who is credited.",
      "{n} trees claimed by two crews. See the row, ask both foremen, then settle who is credited.",
      n,
    ),
  lastTree: (day: string) => t("The last of them on {day}.", { day: dayText(day) }),
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
  neededYou: (day: string) => t("Waited for you on {day}", { day }),
  stillLooking: t("Looking at quality and weather too…"),
  notLooked: (what: string) => t("No answer about {what}, so this list may not be whole.", { what }),
  map: t("Map of the farm"),
  blocks: t("Blocks"),
  noBlocks: t("No blocks yet: load a file in Set-up."),
  toSetUp: t("Go to Set-up"),
  columns: { block: t("Block"), variety: t("Variety"), trees: t("Trees"), pruned: t("Pruned"), checks: t("Drawn trees"), verdict: t("Verdict") },
  closed: (until: string) => t("closed until {until}", { until }),
} as const;
