/** Trees of a run that two crews claim, with the way to settle them. */

import type { PayPreview } from "../../core/pay-contracts";
import { PAY } from "../../core/pay-wording";
import { h } from "../../ui/dom";
import { placeLink } from "../place-link";
import { crewName, type Desk } from "./desk";

/** What blocks were called when that was read last: a list that is drawn anew begins with it. */
const known = new Map<string, string>();

/** Return the section; blocks are called by their codes once these are read. */
export function heldPart(desk: Desk, { held }: PayPreview): HTMLElement {
  if (held.length === 0) return h("section", {}, h("h3", {}, PAY.held), h("p", {}, PAY.noHeld));
  const lines = held.map((one) => ({ one, words: h("span", {}) }));
  /** The ways beside the words stay: put in anew they would lose the keyboard. */
  const say = (): void => {
    for (const { one: { block_id, row, first, last, crew_ids }, words } of lines) {
      const crews = crew_ids.map((id) => crewName(desk, id)).join(", ");
      words.textContent = PAY.heldLine(known.get(block_id) ?? block_id.slice(0, 8), row, first, last, crews);
    }
  };
  say();
  void desk.context.api
    .overview(desk.farm, desk.today)
    .then(({ blocks }) => {
      for (const { id, code } of blocks) known.set(id, code);
      say();
    })
    .catch(() => undefined);
  const trees = held.reduce((sum, one) => sum + one.trees, 0);
  const link = (): HTMLElement => placeLink({ screen: "settling", block: null }, PAY.settle, desk.context.go, { class: "button" });
  const list = lines.map(({ words }) => h("li", { class: "pay-missing" }, words, link()));
  return h("section", {}, h("h3", {}, PAY.held), h("p", {}, PAY.heldLead(trees)), h("ul", { class: "plain-list" }, ...list));
}
