/** A table in its own frame, sorted by any column by mouse or keyboard. */

import { fillKept, h } from "./dom";
import "./sortable-table.css";

export interface Column<Line> {
  head: string;
  order(a: Line, b: Line): number;
}
export interface Sorting<Line> {
  /** Said to those who do not see it. */
  label: string;
  columns: readonly Column<Line>[];
  draw(line: Line): HTMLTableRowElement;
  /** The order of lines that are alike in the column that it is sorted by. */
  tie(a: Line, b: Line): number;
  /** The column to begin with; without one the lines stand as they came. */
  begin?: number;
}
export interface LiveTable<Line> {
  box: HTMLElement;
  /** Show these lines in the order that was chosen; a line that has not changed stays as it is, with the keyboard on it. */
  show(lines: readonly Line[], total?: HTMLTableRowElement | null): void;
}

/** Return a table whose lines may change while it is read. */
export function liveTable<Line>({ label, columns, draw, tie, begin = -1 }: Sorting<Line>): LiveTable<Line> {
  let lines: readonly Line[] = [];
  let by = begin;
  let upwards = true;
  const body = h("tbody", {});
  const foot = h("tfoot", {});
  const redraw = (): void => {
    const column = columns[by];
    const sorted = column === undefined ? lines : [...lines].sort((a, b) => (upwards ? 1 : -1) * column.order(a, b) || tie(a, b));
    const at = body.contains(document.activeElement) ? document.activeElement?.textContent : null;
    fillKept(body, sorted, draw);
    // a line that changed was made anew: the keyboard stays where it stood
    if (at !== null && !body.contains(document.activeElement)) [...body.querySelectorAll("a")].find((link) => link.textContent === at)?.focus({ preventScroll: true });
    for (const [n, head] of heads.entries()) head.setAttribute("aria-sort", n !== by ? "none" : upwards ? "ascending" : "descending");
  };
  const heads = columns.map(({ head }, at) => {
    const sort = (): void => {
      upwards = by === at ? !upwards : true;
      by = at;
      redraw();
    };
    return h("th", { scope: "col" }, h("button", { type: "button", class: "sort", on: { click: sort } }, head));
  });
  return {
    box: h("div", { class: "table-frame", tabindex: "0", role: "region", "aria-label": label }, h("table", {}, h("thead", {}, h("tr", {}, ...heads)), body, foot)),
    show(now, total = null) {
      lines = now;
      foot.replaceChildren(...(total === null ? [] : [total]));
      redraw();
    },
  };
}

/** Return a table whose lines stay. */
export function sortableTable<Line>(lines: readonly Line[], sorting: Sorting<Line>): HTMLElement {
  const table = liveTable(sorting);
  table.show(lines);
  return table.box;
}
