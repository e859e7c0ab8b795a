/** Choosing a tree: two steppers, and a strip of the row on which the tree can be tapped. */

import type { BlockState, ShapeRow } from "../../core/contracts";
import { rowPieces, runsOfRow } from "../../core/coverage";
import { edgeShare, positionAt } from "../../core/strip";
import { CHECKS } from "../../core/checks-wording";
import { h, s } from "../../ui/dom";
import { bud } from "../../ui/legend-signs";
import { stepper } from "../../ui/stepper";
import { isSecondLook } from "./checks-list";
import { atPosition, stripPicture } from "../../ui/strip-picture";

export interface TreeChoice {
  box: HTMLElement;
  chosen(): { row: number; position: number };
  /** What speaks against checking the chosen position, or nothing. */
  caveat(): string;
  draw(): void;
}

/** Return the sentence about a position that is not a pruned tree, or nothing. */
function caveat(row: ShapeRow, position: number, state: BlockState): string {
  if (row.blanks?.includes(position)) return CHECKS.isBlank;
  if (row.pollinizers?.includes(position)) return CHECKS.isPollinizer;
  const pruned = runsOfRow(state.runs, row.n).some(([, first, last]) => first <= position && position <= last);
  return pruned ? "" : CHECKS.notPruned;
}

/** Return the choice over the rows of a block, beginning with row `begin`; rows have at least one entry. */
export function treeChoice(
  rows: readonly ShapeRow[],
  longest: number,
  begin: number,
  { state, changed }: { state(): BlockState; changed(): void },
): TreeChoice {
  let told = "";
  const numbers = rows.map((row) => row.n);
  const byNumber = new Map(rows.map((row) => [row.n, row]));
  const picture = stripPicture(longest);
  const strip = h("button", { type: "button", class: "tree-strip" }, picture.box);
  const here = h("p", { class: "tree-here" });

  const currentRow = (): ShapeRow => {
    const row = byNumber.get(rowStep.value()) ?? rows.find((one) => one.n >= rowStep.value()) ?? rows[0];
    if (row === undefined) throw new Error("A block without rows has no tree to choose.");
    return row;
  };
  const rowStep = stepper(CHECKS.row, { less: CHECKS.oneLess.row, more: CHECKS.oneMore.row }, () => {
    const row = currentRow();
    rowStep.set(row.n, Math.min(...numbers), Math.max(...numbers));
    treeStep.set(treeStep.value(), 1, row.p);
    draw();
  });
  const treeStep = stepper(CHECKS.position, { less: CHECKS.oneLess.position, more: CHECKS.oneMore.position }, () => draw());

  const draw = (): void => {
    const row = currentRow();
    const position = treeStep.value();
    const now = state();
    const buds = now.checks
      .filter((check) => check[1] === row.n && !isSecondLook(check))
      .map((check) => atPosition(bud(check[3], check[7]), check[2], longest));
    const x = `${100 * edgeShare(position + 0.5, longest)}%`;
    const pointer = s("line", { x1: x, x2: x, y1: "0", y2: "100%", class: "tree-pointer" });
    picture.draw(rowPieces(row, runsOfRow(now.runs, row.n)), [pointer, ...buds]);
    strip.setAttribute("aria-label", CHECKS.stripLabel(row.n));
    here.textContent = CHECKS.here(row.n, position);
    const tree = `${row.n}:${position}`;
    if (tree !== told) changed();
    told = tree;
  };
  strip.addEventListener("click", (event) => {
    if (event.detail === 0) return; // from the keyboard: there is no place in it, the steppers serve
    const frame = picture.box.getBoundingClientRect();
    const row = currentRow();
    treeStep.set(positionAt(event.clientX - frame.left, frame.width, longest, row.p), 1, row.p);
    draw();
  });
  const first = byNumber.get(begin) ?? rows[0];
  rowStep.set(first?.n ?? 1, Math.min(...numbers), Math.max(...numbers));
  treeStep.set(1, 1, first?.p ?? 1);
  return {
    box: h(
      "section",
      { class: "tree-choice" },
      h("div", { class: "tree-steps" }, rowStep.box, treeStep.box, here),
      strip,
    ),
    caveat: () => caveat(currentRow(), treeStep.value(), state()),
    chosen: () => ({ row: currentRow().n, position: treeStep.value() }),
    draw,
  };
}
