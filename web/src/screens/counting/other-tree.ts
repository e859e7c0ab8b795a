/** Another tree than the one proposed: its row and position. */

import type { ShapeRow } from "../../core/contracts";
import type { Tree } from "../../core/sample-trees";
import { TALLY } from "../../core/tally-wording";
import { isTree } from "../../core/tree-counts";
import { h } from "../../ui/dom";
import { notice } from "../../ui/notice";
import { stepper } from "../../ui/stepper";

export interface OtherTreeHears {
  chosen(tree: Tree): void;
  left(): void;
  isCounted(tree: Tree): boolean;
}

/** Return the choice, beginning at a tree; rows have at least one entry. */
export function otherTree(rows: readonly ShapeRow[], begin: Tree, hears: OtherTreeHears): HTMLElement {
  const numbers = rows.map(({ n }) => n);
  const [first, last] = [Math.min(...numbers), Math.max(...numbers)];
  const said = notice();
  const use = h("button", { type: "button", class: "main", on: { click: () => hears.chosen(tree()) } }, TALLY.useTree);
  const rowNow = (): ShapeRow | undefined => rows.find(({ n }) => n === row.value());
  const tree = (): Tree => ({ row: row.value(), position: position.value() });
  const say = (): void => {
    const of = rowNow();
    const isBlank = of?.blanks?.includes(position.value()) ?? false;
    const stands = isTree(of, position.value());
    use.disabled = !stands;
    if (!stands) said.say(isBlank || of === undefined ? TALLY.isBlank : TALLY.isPollinizer);
    else said.say(hears.isCounted(tree()) ? TALLY.isCounted : "");
  };
  const row = stepper(TALLY.row, { less: TALLY.oneRowLess, more: TALLY.oneRowMore }, () => {
    position.set(position.value(), 1, Math.max(1, rowNow()?.p ?? 1));
    say();
  });
  const position = stepper(TALLY.position, { less: TALLY.onePositionLess, more: TALLY.onePositionMore }, say);
  row.set(begin.row, first, last);
  position.set(begin.position, 1, Math.max(1, rowNow()?.p ?? 1));
  say();
  return h(
    "section",
    { class: "other-tree" },
    h("div", { class: "other-steps" }, row.box, position.box),
    said.box,
    h("div", { class: "other-do" }, h("button", { type: "button", on: { click: hears.left } }, TALLY.leaveIt), use),
  );
}
