/** All trees of a lot in walking order: what was found, what is open, and the way back to one of them. */

import { SKIP, WALK } from "../../core/check-walk-wording";
import type { WalkTree } from "../../core/walk-standing";
import { TREE_VERDICT } from "../../core/wording";
import { h } from "../../ui/dom";
import { budPicture } from "../../ui/legend-signs";

/** Return the list; `chosen` hears the tree to go to. */
export function walkTrees(trees: readonly WalkTree[], { chosen, back }: { chosen(tree: WalkTree): void; back(): void }): HTMLElement {
  const line = (tree: WalkTree): HTMLElement => {
    const { row, position, check, leftOut } = tree;
    const standing = check !== null ? TREE_VERDICT[check[3]] : leftOut !== null ? SKIP[leftOut] : WALK.open;
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
  return h("section", { class: "walk-trees" }, h("header", {}, h("h2", {}, WALK.treesOf), h("button", { type: "button", on: { click: back } }, WALK.back)), h("ul", { class: "plain-list" }, ...trees.map(line)));
}
