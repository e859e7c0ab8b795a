/** Every sentence of the overview. They come with it, not with the first load of a tablet. */

import { rows, trees } from "./counted";
import { t, tn } from "./language";
import { count } from "./numbers";

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
  sentBack: (n: number) => (n === 0 ? "" : t("To send back: {n}.", { n: count(n) })),
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
