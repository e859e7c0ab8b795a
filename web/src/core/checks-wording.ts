/** The sentences of the checks screen. */

import { count } from "./numbers";

const trees = (n: number): string => (n === 1 ? "1 tree" : `${count(n)} trees`);

export const CHECKS = {
  title: "Checks",
  whichAuditor: "Who checks with this device?",
  noName: "Without a name",
  noAuditors: "No auditor is set up yet. Checks can be recorded without a name; add one in Set-up.",
  auditor: "Auditor",
  changeAuditor: "Change auditor",
  pickBlock: "Pick a block",
  otherBlock: "Other block",
  row: "Row",
  tree: "Tree",
  oneLess: { row: "One row back", tree: "One tree back" },
  oneMore: { row: "One row on", tree: "One tree on" },
  here: (row: number, position: number) => `Row ${row}, tree ${position}`,
  stripLabel: (row: number) => `Row ${row}: tap the tree`,
  isBlank: "There is no living tree at this position.",
  isPollinizer: "A pollinizer stands at this position; the brief of the block does not fit it.",
  notPruned: "This tree is not marked as pruned.",
  drawnLegend: "How did this tree come to be checked?",
  drawn: "Drawn by plan",
  seen: "Seen while walking",
  note: "Note",
  verdict: "Verdict",
  noteHint: "What you saw; no names of people.",
  saved: (row: number, position: number, verdict: string) => `Saved: row ${row}, tree ${position}, ${verdict}.`,
  setAside: (why: string) => `Set aside, stored but not counted: ${why}`,
  notSaved: "NOT saved: no connection. Try again above.",
  refused: (why: string) => `NOT saved: ${why}`,
  saving: "Saving…",
  list: "Checks of this block",
  none: "No tree of this block is checked yet.",
  line: (row: number, position: number) => `Row ${row}, tree ${position}`,
  blockLine: (checked: number, faulty: number) =>
    checked === 0 ? "no tree checked" : `${trees(checked)} checked, ${count(faulty)} faulty`,
  noSeason: "No season is open: open one in Set-up, then trees can be checked.",
} as const;
