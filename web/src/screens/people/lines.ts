/** The lines of a list: while one changes the others stand as they are, so that a question which is open on one is not drawn away by what became of another. */

import { fillKept, h } from "../../ui/dom";

/** Put a line for each thing into the list, or the words where there is none. */
export function drawLines<Thing extends object>(list: HTMLElement, things: readonly Thing[], none: string, lineOf: (thing: Thing) => HTMLElement): void {
  fillKept<Thing | string>(list, things.length === 0 ? [none] : things, (one) => (typeof one === "string" ? h("li", {}, one) : lineOf(one)));
}

/** Return a list that says so much until it is read. */
export function unreadLines(words: string): HTMLElement {
  const list = h("ul", { class: "plain-list" });
  drawLines(list, [], words, () => list);
  return list;
}
