/** The returns: late ones first, then those to check anew, those under way, and those that are over. */

import { dayText } from "../../core/numbers";
import type { Lot, Return } from "../../core/quality-contracts";
import { failedRecheck, isOver, returnsInOrder } from "../../core/quality-lots";
import { RETURN_STATE, RETURNS } from "../../core/quality-lot-wording";
import { roleAt, roleScreens } from "../../core/who";
import { h } from "../../ui/dom";
import { placeLink } from "../place-link";
import { ofOneBlock, placeOfLot, placeOfPart, readingPart, type Desk, type Part } from "./desk";
import { reasonForm } from "./reason-form";

function seesRows({ context }: Desk): boolean {
  const role = roleAt(context.who, context.farm.id);
  return role !== null && roleScreens(role).includes("rows");
}

/** Return what is to be done about it next. */
function ways(one: Return, lots: readonly Lot[], desk: Desk): HTMLElement {
  const { go } = desk.context;
  const of = (words: string): { "aria-label": string } => ({ "aria-label": `${words}: ${RETURNS.name(one)}` });
  // an area may be looked at anew before the crew went: new trees tell whether it is one
  const canCheck = one.state === "redone" || (one.state === "open" && one.area !== null);
  const words = one.state === "redone" ? RETURNS.recheck : RETURNS.lookFirst;
  const again = failedRecheck(one, lots);
  const recheck = placeOfPart("new-lot", { block: one.block_id, recheck: one.id });
  return h(
    "div",
    { class: "line-buttons" },
    desk.mayWrite && canCheck
      ? placeLink(recheck, words, go, { class: one.state === "redone" ? "button main" : "button", ...of(words) })
      : null,
    again === null || !desk.mayWrite ? null : placeLink(placeOfLot(again.id), RETURNS.again, go, { class: "button main", ...of(RETURNS.again) }),
    one.lot_id === null ? null : placeLink(placeOfLot(one.lot_id), RETURNS.fromLot, go, { class: "button", ...of(RETURNS.fromLot) }),
    one.lot_id === null && one.area !== null ? placeLink(placeOfPart("weak"), RETURNS.fromArea, go, { class: "button", ...of(RETURNS.fromArea) }) : null,
    seesRows(desk) && one.state === "open" ? placeLink({ screen: "rows", block: one.block_id }, RETURNS.seeRows, go, { class: "button", ...of(RETURNS.seeRows) }) : null,
  );
}

function points({ points: asked }: Return): HTMLElement | null {
  if (asked.length === 0) return null;
  return h("div", { class: "area-told" }, h("div", {}, h("h4", {}, RETURNS.lookAt), h("ul", {}, ...asked.map(({ sentence }) => h("li", {}, sentence)))));
}

function history({ history: told }: Return): HTMLElement {
  const lines = told.map(({ on, words }) => h("li", {}, `${dayText(on)}: ${words}`));
  return h("details", {}, h("summary", {}, RETURNS.history), h("ol", {}, ...lines));
}

function card(one: Return, lots: readonly Lot[], desk: Desk, again: () => Promise<void>): HTMLElement {
  const isDone = isOver(one, lots);
  const canCancel = desk.mayWrite && !isDone;
  return h(
    "article",
    { class: "return-card", "data-late": String(one.is_late) },
    h("h3", {}, RETURNS.name(one)),
    h("p", {}, h("strong", {}, RETURN_STATE[one.state]), ", ", one.is_late ? h("strong", {}, RETURNS.late(one.due_on)) : RETURNS.due(one.due_on)),
    h("p", {}, RETURNS.progress(one)),
    isDone ? null : h("progress", { class: "quality-progress", max: one.trees, value: one.trees - one.trees_open, "aria-label": RETURNS.progress(one) }),
    points(one),
    one.note === "" ? null : h("p", {}, one.note),
    ways(one, lots, desk),
    history(one),
    canCancel
      ? reasonForm(RETURNS.cancel, RETURNS.cancelLead, async (reason) => {
          await desk.api.cancelReturn(one.id, reason);
          await again();
        })
      : null,
  );
}

/** Show the part. */
export const showReturns: Part = (root, desk) => {
  const { api, context } = desk;
  const { block } = context.place;
  return readingPart(
    root,
    async () => {
      const { id, today } = context.farm;
      const [{ returns }, { lots }, { cursor, blocks }] = await Promise.all([api.returns(id), api.lots(id), context.api.overview(id, today)]);
      return { cursor, returns, lots, blocks: blocks.map(({ id: of, code }) => ({ id: of, code })) };
    },
    ({ returns, lots, blocks }, again) => {
      const all = returnsInOrder(block === null ? returns : returns.filter((one) => one.block_id === block));
      const under = all.filter((one) => !isOver(one, lots));
      const over = all.filter((one) => isOver(one, lots));
      const cards = (some: readonly Return[]): HTMLElement[] => some.map((one) => card(one, lots, desk, again));
      return [
        h("p", { class: "quality-lead" }, RETURNS.lead),
        ofOneBlock(desk, "returns", blocks),
        all.length === 0 ? h("p", {}, RETURNS.none) : h("h2", {}, RETURNS.open(under.length)),
        ...cards(under),
        over.length === 0 ? null : h("details", {}, h("summary", {}, RETURNS.over(over.length)), ...cards(over)),
      ];
    },
  );
};
