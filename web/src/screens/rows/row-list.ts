/** The rows of a block in walking order; finished ones at its beginning are folded away, so that it begins at the next row. */

import type { ShapeRow } from "../../core/contracts";
import { ROWS } from "../../core/rows-wording";
import { finishedBefore, walkedRows, type RowEnd, type Walk } from "../../core/walking";
import { fill, h } from "../../ui/dom";
import type { RowStrip } from "./row-strip";

export interface RowList {
  box: HTMLElement;
  setWalk(walk: Walk): void;
  /** The end from which the crew comes into a row. */
  fromEnd(row: number): RowEnd;
  /** Row numbers in walking order. */
  order(): number[];
  /** The place in the order of the next row to prune; null when all is done. */
  next(): number | null;
  /** Fold away the finished rows that come first. */
  foldFinished(): void;
  toNext(): void;
  /** Bring a row into sight and point it out. */
  see(row: number): void;
}

/** Return the list of these strips. */
export function rowList(rows: readonly ShapeRow[], strips: ReadonlyMap<number, RowStrip>, begin: Walk): RowList {
  let order = walkedRows(rows, begin);
  let folded = 0;
  let open = false;
  const list = h("ol", { class: "row-list plain-list" });
  const unfold = h("button", { type: "button", class: "finished quiet", on: { click: () => setOpen(!open) } });
  const isDone = ({ n }: ShapeRow): boolean => strips.get(n)?.isDone() ?? false;

  const draw = (): void => {
    order.forEach(({ row }, at) => {
      const strip = strips.get(row.n);
      if (strip !== undefined) strip.box.hidden = at < folded && !open;
    });
    unfold.hidden = folded === 0;
    unfold.textContent = open ? ROWS.hideFinished : ROWS.finishedBefore(folded);
    unfold.setAttribute("aria-expanded", String(open));
  };
  const setOpen = (now: boolean): void => {
    open = now;
    draw();
  };
  const foldFinished = (): void => {
    folded = finishedBefore(order, isDone);
    setOpen(false);
  };
  const place = (): void => {
    order.forEach(({ row, from }, at) => {
      const strip = strips.get(row.n);
      strip?.setFrom(from);
      // where there is room two rows share a line; finished ones folded away leave their side empty
      if (strip !== undefined) strip.box.dataset["side"] = at % 2 === 0 ? "out" : "back";
    });
    fill(list, ...order.flatMap(({ row }) => strips.get(row.n)?.box ?? []));
  };
  place();
  return {
    box: h("div", {}, unfold, list),
    setWalk(walk) {
      order = walkedRows(rows, walk);
      place();
      foldFinished();
    },
    fromEnd: (n) => order.find(({ row }) => row.n === n)?.from ?? "first",
    order: () => order.map(({ row }) => row.n),
    next() {
      const at = order.findIndex(({ row }) => !isDone(row));
      return at < 0 ? null : at;
    },
    foldFinished,
    toNext() {
      const next = order.find(({ row }) => !isDone(row));
      if (next !== undefined) strips.get(next.row.n)?.box.scrollIntoView({ block: "center" });
    },
    see(n) {
      const strip = strips.get(n);
      if (strip === undefined) return;
      if (strip.box.hidden) setOpen(true);
      for (const other of strips.values()) other.box.dataset["found"] = String(other === strip);
      strip.box.scrollIntoView({ block: "center" });
      strip.focus();
    },
  };
}
