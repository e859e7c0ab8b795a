/** Trees of a run that two crews claim, with the way to settle them. */

import type { PayPreview } from "../../core/pay-contracts";
import { PAY } from "../../core/pay-wording";
import { fill, h } from "../../ui/dom";
import { placeLink } from "../place-link";
import { crewName, type Desk } from "./desk";

/** Return the section; blocks are called by their codes once these are read. */
export function heldPart(desk: Desk, { held }: PayPreview): HTMLElement {
  if (held.length === 0) return h("section", {}, h("h3", {}, PAY.held), h("p", {}, PAY.noHeld));
  const list = h("ul", { class: "plain-list" });
  const draw = (codes: ReadonlyMap<string, string>): void => {
    const lines = held.map(({ block_id, row, first, last, crew_ids }) => {
      const code = codes.get(block_id) ?? block_id.slice(0, 8);
      const crews = crew_ids.map((id) => crewName(desk, id)).join(", ");
      const link = placeLink({ screen: "settling", block: null }, PAY.settle, desk.context.go, { class: "button" });
      return h("li", { class: "pay-missing" }, h("span", {}, PAY.heldLine(code, row, first, last, crews)), link);
    });
    fill(list, ...lines);
  };
  draw(new Map());
  void desk.context.api
    .overview(desk.farm, desk.today)
    .then(({ blocks }) => !desk.isLeft() && draw(new Map(blocks.map(({ id, code }) => [id, code]))))
    .catch(() => undefined);
  const trees = held.reduce((sum, one) => sum + one.trees, 0);
  return h("section", {}, h("h3", {}, PAY.held), h("p", {}, PAY.heldLead(trees)), list);
}
