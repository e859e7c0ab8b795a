/** Cells of the tables in which farms stand side by side: a figure in words, and the same as a bar. */

import type { Work } from "../../core/farms-contracts";
import { FARMS } from "../../core/farms-wording";
import { h } from "../../ui/dom";

export type Cell = string | Node;

/** Return a table in a frame that scrolls, reachable by keyboard; the first cell of each line is its head. */
export function farmsTable(label: string, heads: readonly string[], lines: readonly HTMLTableRowElement[]): HTMLElement {
  return h(
    "div",
    { class: "farms-table", tabindex: 0, role: "region", "aria-label": label },
    h("table", {}, h("thead", {}, h("tr", {}, ...heads.map((head) => h("th", { scope: "col" }, head)))), h("tbody", {}, ...lines)),
  );
}

/** Return a line; where `first` is not null it heads the lines of so many farms. */
export function farmsLine(first: { head: string; lines: number } | null, cells: readonly Cell[]): HTMLTableRowElement {
  const head = first === null ? null : h("th", { scope: "rowgroup", rowspan: first.lines }, first.head);
  return h("tr", { class: first === null ? "" : "farms-first" }, head, ...cells.map((cell) => h("td", {}, cell)));
}

/** Return words over a bar of a share of the widest. */
export function barred(words: string, share: number): HTMLElement {
  const bar = h("span", { class: "farms-bar", "aria-hidden": "true" });
  bar.style.setProperty("--share", String(Math.min(1, Math.max(0, share))));
  return h("span", { class: "farms-barred" }, words, bar);
}

/** Return a pace with a bar beside the fastest shown. */
export function paceCell({ trees_per_h }: Work, fastest: number): Cell {
  return trees_per_h === null ? FARMS.pace(null) : barred(FARMS.pace(trees_per_h), trees_per_h / fastest);
}

/** Return the fastest pace of some work, to draw others beside; 1 where there is none. */
export function fastestOf(works: readonly (Work | null)[]): number {
  return Math.max(0, ...works.map((one) => one?.trees_per_h ?? 0)) || 1;
}

/** Return the faulty trees among those checked, with the bounds of their share. */
export function faultyCell({ faulty, checked, wilson }: Work): Cell {
  return wilson === null ? FARMS.unchecked : FARMS.faulty(faulty, checked, wilson);
}
