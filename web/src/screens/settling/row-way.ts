/** The way to a row that a matter is about. */

import { addressOf, type Place } from "../../core/place";
import { SETTLING } from "../../core/settling-wording";
import { h } from "../../ui/dom";

/** Return the link, or null where no row is known. */
export function rowWay(block: string | null, row: number | null, go: (place: Place) => void): HTMLElement | null {
  if (block === null || row === null) return null;
  const place: Place = { screen: "rows", block, row };
  const click = (event: MouseEvent): void => {
    if (event.metaKey || event.ctrlKey || event.shiftKey) return;
    event.preventDefault();
    go(place);
  };
  return h("a", { href: addressOf(place), class: "row-way", on: { click } }, SETTLING.seeRow);
}
