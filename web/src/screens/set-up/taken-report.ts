/** After taking: which blocks are there now, and what was left out and why. */

import type { Taken } from "../../core/import-contracts";
import { IMPORT } from "../../core/set-up-wording";
import { h } from "../../ui/dom";
import { GROUND } from "../../core/ground-wording";
import { placeLink } from "../place-link";
import type { Context } from "../context";

/** Return the report. */
export function takenReport(taken: Taken, context: Context, otherFile: () => void): HTMLElement {
  const out = taken.left_out.map(({ name, reason }) => h("li", {}, h("strong", {}, name), ` ${reason}`));
  return h(
    "section",
    { class: "taken" },
    h("h3", {}, IMPORT.taken),
    h(
      "ul",
      { class: "plain-list named" },
      ...taken.blocks.map(({ id, code, rows, trees }) =>
        h("li", {}, h("span", {}, IMPORT.takenLine(code, rows, trees)), placeLink({ screen: "set-up", block: id }, GROUND.edit(code), context.go, { class: "button" })),
      ),
    ),
    ...(out.length === 0 ? [] : [h("h3", {}, IMPORT.leftOut), h("ul", { class: "plain-list" }, ...out)]),
    h(
      "button",
      { type: "button", class: "main", on: { click: () => context.go({ screen: "rows", block: null }) } },
      IMPORT.toRows,
    ),
    " ",
    h("button", { type: "button", on: { click: otherFile } }, IMPORT.otherFile),
  );
}
