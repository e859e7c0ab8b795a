/** Small signs and lines that several parts of quality draw: a verdict with its pith, an interval as a bar, a table in a frame. */

import { spanOn } from "../../core/quality-charts";
import type { Span } from "../../core/quality-contracts";
import { h, s } from "../../ui/dom";

export interface Bar {
  /** Said to those who do not see it. */
  words: string;
  interval: Span;
  /** What was found, as a mark on the bar; null where nothing was. */
  value: number | null;
  scale: Span;
  /** A thin line to compare with, as the share that is good enough. */
  mark?: number | null;
}

/** Return an interval drawn on its scale. */
export function intervalBar({ words, interval, value, scale, mark = null }: Bar): SVGSVGElement {
  const { left, width } = spanOn(interval, scale);
  const at = (where: number): string => `${spanOn([where, where], scale).left}%`;
  return s(
    "svg",
    { class: "interval", role: "img", "aria-label": words },
    s("line", { class: "interval-scale", x1: "0", x2: "100%", y1: 14, y2: 14 }),
    s("rect", { class: "interval-span", x: `${left}%`, y: 7, width: `${width}%`, height: 14 }),
    mark === null ? null : s("line", { class: "interval-mark", x1: at(mark), x2: at(mark), y1: 0, y2: 28 }),
    value === null ? null : s("line", { class: "interval-value", x1: at(value), x2: at(value), y1: 3, y2: 25 }),
  );
}

/** Return a table that scrolls in its own frame, reachable by keyboard. */
export function framedTable(label: string, heads: readonly string[], lines: readonly HTMLTableRowElement[]): HTMLElement {
  return h(
    "div",
    { class: "quality-table", tabindex: 0, role: "region", "aria-label": label },
    h("table", {}, h("thead", {}, h("tr", {}, ...heads.map((head) => (head === "" ? h("td", {}) : h("th", { scope: "col" }, head))))), h("tbody", {}, ...lines)),
  );
}

/** Return a line of a table; the first cell is its head. */
export function line(first: string | Node, ...cells: readonly (string | Node | null)[]): HTMLTableRowElement {
  return h("tr", {}, h("th", { scope: "row" }, first), ...cells.map((cell) => h("td", {}, cell)));
}

/** Return sentences as paragraphs. */
export function paragraphs(sentences: readonly string[], className = ""): HTMLElement[] {
  return sentences.filter((one) => one !== "").map((one) => h("p", className === "" ? {} : { class: className }, one));
}
