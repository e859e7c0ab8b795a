/** The cautions, shown once a day for each block. */

import { ROWS } from "../../core/wording";
import { h } from "../../ui/dom";

/** Return the card; its button puts it away. */
export function cautions(): HTMLElement {
  const box = h(
    "section",
    { class: "cautions" },
    h("h2", {}, ROWS.cautionTitle),
    h("ul", {}, ...ROWS.cautions.map((line) => h("li", {}, line))),
    h("p", {}, h("strong", {}, ROWS.cautionsDefer)),
    h("button", { type: "button", class: "main", on: { click: () => box.remove() } }, ROWS.cautionsRead),
  );
  return box;
}
