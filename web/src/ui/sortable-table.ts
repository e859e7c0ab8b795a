/** A table in its own frame, sorted by any column by mouse or keyboard. */

import { fill, h } from "./dom";
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

/** Return the table. */
export function sortableTable<Line>(lines: readonly Line[], { label, columns, draw, tie, begin = -1 }: Sorting<Line>): HTMLElement {
  let by = begin;
  let upwards = true;
  const body = h("tbody", {});
  const redraw = (): void => {
    const column = columns[by];
    const sorted = column === undefined ? lines : [...lines].sort((a, b) => (upwards ? 1 : -1) * column.order(a, b) || tie(a, b));
    fill(body, ...sorted.map(draw));
    for (const [at, head] of heads.entries()) head.setAttribute("aria-sort", at !== by ? "none" : upwards ? "ascending" : "descending");
  };
  const heads = columns.map(({ head }, at) => {
    const sort = (): void => {
      upwards = by === at ? !upwards : true;
      by = at;
      redraw();
    };
    return h("th", { scope: "col" }, h("button", { type: "button", class: "sort", on: { click: sort } }, head));
  });
  redraw();
  return h(
    "div",
    { class: "table-frame", tabindex: "0", role: "region", "aria-label": label },
    h("table", {}, h("thead", {}, h("tr", {}, ...heads)), body),
  );
}
