/** Which tree comes next: row and position very large, the way to it in words, and the strip of its row. */

import type { BlockShape, BlockState } from "../../core/contracts";
import { rowPieces, runsOfRow } from "../../core/coverage";
import { farEndEighth } from "../../core/nearest-row";
import { treeKey, type Tree } from "../../core/sample-trees";
import { edgeShare } from "../../core/strip";
import { wayWords, WALK } from "../../core/check-walk-wording";
import { placesOf } from "../../core/walk-places";
import { wayTo } from "../../core/walk-way";
import { fill, h, s } from "../../ui/dom";
import { bud, GROUND } from "../../ui/legend-signs";
import { atPosition, stripPicture } from "../../ui/strip-picture";
import type { WalkTree } from "../../core/walk-standing";

export interface WalkWhere {
  box: HTMLElement;
  draw(tree: Tree, last: Tree | null, trees: readonly WalkTree[], state: BlockState): void;
}

/** As a share of the row. */
const NEAR_END = 0.08;

/** Return the place, for the rows of a block. */
export function walkWhere(shape: BlockShape): WalkWhere {
  const places = placesOf(shape);
  const rowText = h("span", {});
  const treeText = h("span", {});
  const way = h("p", { class: "walk-way" });
  const strip = h("div", { class: "walk-strip" });
  return {
    box: h("section", { class: "walk-where" }, h("div", {}, h("h2", {}, rowText, " ", treeText), way), strip),
    draw(tree, last, trees, state) {
      rowText.textContent = WALK.row(tree.row);
      treeText.textContent = WALK.tree(tree.position);
      way.textContent = wayWords(wayTo(places, last, tree), farEndEighth(shape, tree.row));
      const row = shape.rows.find(({ n }) => n === tree.row);
      if (row === undefined) return fill(strip);
      // the strip is its own row's alone: as long as the screen is wide
      const picture = stripPicture(row.p);
      const ofRow = trees.filter((one) => one.row === tree.row && treeKey(one) !== treeKey(tree) && one.leftOut === null);
      picture.draw(rowPieces(row, runsOfRow(state.runs, row.n)), [
        ...ofRow.map(({ position, check }) => atPosition(check === null ? toCome() : bud(check[3], check[7]), position, row.p)),
        ...(last?.row === tree.row ? [you(last.position, row.p)] : []),
        pointer(tree.position, row.p),
      ]);
      // "you" at an end of the row takes the place of its number
      const share = last?.row === tree.row ? edgeShare(last.position + 0.5, row.p) : 0.5;
      fill(strip, picture.box, h("p", { class: "walk-ends", "aria-hidden": "true" }, h("span", {}, share < NEAR_END ? "" : "1"), h("span", {}, share > 1 - NEAR_END ? "" : String(row.p))));
    },
  };
}

/** As the pointer, small and hollow: a drawn tree that is still to come. */
function toCome(): SVGElement {
  return s("path", { d: "M0,-11 l-7,-12 h14 z", fill: GROUND.sheet, stroke: "var(--ink)", "stroke-width": 2 });
}

function pointer(position: number, positions: number): SVGElement {
  const x = `${100 * edgeShare(position + 0.5, positions)}%`;
  const sign = s("path", { d: "M0,-12 l-13,-22 h26 z", fill: "var(--ink)" });
  const at = s("svg", { x, y: "50%", overflow: "visible", width: 1, height: 1 }, sign);
  // it ends above the numbers of the row's ends
  return s("g", {}, s("line", { x1: x, x2: x, y1: "0", y2: "70%", class: "tree-pointer" }), at);
}

function you(position: number, positions: number): SVGElement {
  const mark = s("path", { d: "M0,12 l-9,16 h18 z", fill: "none", stroke: "var(--ink)", "stroke-width": 3 });
  const word = s("text", { y: 46, "text-anchor": "middle", class: "walk-you" }, WALK.you);
  return atPosition(s("g", {}, mark, word), position, positions);
}
