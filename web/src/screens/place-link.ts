/** A link to another screen: followed on this page by a plain click, like any link by all others. */

import { addressOf, type Place } from "../core/place";
import { h, type Properties } from "../ui/dom";

/** Return the link. */
export function placeLink(to: Place, words: string, go: (to: Place) => void, properties: Properties = {}): HTMLAnchorElement {
  const click = (event: MouseEvent): void => {
    if (event.metaKey || event.ctrlKey || event.shiftKey || event.button !== 0) return;
    event.preventDefault();
    go(to);
  };
  return h("a", { ...properties, href: addressOf(to), on: { click } }, words);
}
