/** The cautions, shown once a day for each block: a card over the rows, so that nothing moves when it is put away. */

import { ROWS } from "../../core/rows-wording";
import { h } from "../../ui/dom";

/** Return the card; `read` hears when it was put away. */
export function cautions(read: () => void): HTMLElement {
  const away = (): void => {
    box.remove();
    read();
  };
  const box = h(
    "section",
    { class: "cautions" },
    h("h2", {}, ROWS.cautionTitle),
    h("ul", {}, ...ROWS.cautions.map((line) => h("li", {}, line))),
    h("p", {}, h("strong", {}, ROWS.cautionsDefer)),
    h("button", { type: "button", class: "main", on: { click: away } }, ROWS.cautionsRead),
  );
  return box;
}
