/** The brief that a block's trees are judged by, shown in place of the tree until it is put away. */

import type { BlockSummary } from "../../core/contracts";
import { TOOLS } from "../../core/rows-wording";
import { h } from "../../ui/dom";
import { readBlockBrief } from "../brief/block-brief";
import type { Context } from "../context";

/** Return the button that shows it instead of `sheet`. */
export function briefLook(context: Context, block: BlockSummary, sheet: HTMLElement): HTMLElement {
  let card: HTMLElement | null = null;
  let isReading = false;
  const toggle = async (): Promise<void> => {
    if (isReading) return; // a second touch while the first one is at it would lay a second card
    isReading = true;
    const wasOpen = card !== null;
    card?.remove();
    try {
      card = wasOpen ? null : (await readBlockBrief(context, block)).opened();
    } finally {
      isReading = false;
    }
    if (card !== null) sheet.before(card);
    sheet.hidden = card !== null;
    button.setAttribute("aria-expanded", String(card !== null));
  };
  const button = h("button", { type: "button", "aria-expanded": "false", on: { click: () => void toggle() } }, TOOLS.brief);
  return button;
}
