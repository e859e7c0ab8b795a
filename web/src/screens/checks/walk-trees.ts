/** All trees of a lot in walking order: what was found, what is open, and the way back to one of them. */

import { SKIP, WALK } from "../../core/check-walk-wording";
import { treeKey } from "../../core/sample-trees";
import type { WalkTree } from "../../core/walk-standing";
import { TREE_VERDICT } from "../../core/wording";
import { h } from "../../ui/dom";
import { budPicture } from "../../ui/legend-signs";

export interface TreesHear {
  /** The tree to go to. */
  chosen(tree: WalkTree): void;
  /** To walk them from the other end. */
  turn(): void;
  back(): void;
}

/** Return the list; `begun` are the keys of trees that are half answered. */
export function walkTrees(trees: readonly WalkTree[], begun: ReadonlySet<string>, { chosen, turn, back }: TreesHear): HTMLElement {
  const button = (words: string, click: () => void): HTMLElement => h("button", { type: "button", on: { click } }, words);
  const line = (tree: WalkTree): HTMLElement => {
    const { row, position, check, leftOut } = tree;
    const standing = check !== null ? TREE_VERDICT[check[3]] : begun.has(treeKey(tree)) ? WALK.begun : leftOut !== null ? SKIP[leftOut] : WALK.open;
    return h(
      "li",
      {},
      h(
        "button",
        { type: "button", "data-open": String(check === null && leftOut === null), on: { click: () => chosen(tree) } },
        check !== null ? budPicture(check[3]) : leftOut === null ? h("span", { class: "walk-no-bud" }) : h("span", { class: "walk-not-judged", "aria-hidden": "true" }, "×"),
        h("span", {}, h("strong", {}, WALK.place(row, position)), h("br"), standing),
      ),
    );
  };
  return h("section", { class: "walk-trees" }, h("header", {}, h("h2", {}, WALK.treesOf), button(WALK.otherEnd, turn), button(WALK.back, back)), h("ul", { class: "plain-list" }, ...trees.map(line)));
}
