/** The lots: what wants one now, those being checked, those decided, and how strictly each crew is checked. */

import { isPartSent, judgedApart, wanting, lotsByState, wantsReturn } from "../../core/quality-lots";
import type { CrewMemory, Lot, WantingLot } from "../../core/quality-contracts";
import { LOTS, QUALITY } from "../../core/quality-wording";
import type { BlockSummary } from "../../core/contracts";
import { LOT_VERDICT, lotWords } from "../../core/wording";
import { trees } from "../../core/counted";
import { h } from "../../ui/dom";
import { pithPicture } from "../../ui/legend-signs";
import { placeLink } from "../place-link";
import { ofOneBlock, placeOfLot, placeOfPart, readingPart, type Desk, type Part } from "./desk";
import { planSettings } from "./plan-settings";
import { framedTable, line, paragraphs } from "./signs";

/** So many of what wants a lot stand open. */
const WANTING_SHOWN = 6;
/** So many decided lots stand open; the older ones are folded away. */
const DECIDED_SHOWN = 12;

function wantingLine({ block_id, block_code, crew_id, crew, trees: n }: WantingLot, isByCrew: boolean, { context, mayWrite }: Desk): HTMLElement {
  const to = placeOfPart("new-lot", { block: block_id, ...(crew_id === null ? {} : { crew: crew_id }) });
  const words = isByCrew ? LOTS.wants(block_code, crew) : block_code;
  return h(
    "li",
    { class: "quality-line" },
    h("span", { class: "quality-line-head" }, h("strong", {}, words), h("span", {}, trees(n))),
    mayWrite ? placeLink(to, LOTS.plan, context.go, { class: "button", "aria-label": LOTS.planFor(words) }) : null,
  );
}

function toSettleLine(n: number, { context, isManager }: Desk): HTMLElement | null {
  if (n === 0) return null;
  return h("p", {}, LOTS.toSettle(n), " ", isManager ? placeLink({ screen: "settling", block: null }, LOTS.settle, context.go) : null);
}

interface Wanted {
  lots: readonly WantingLot[];
  isByCrew: boolean;
  /** Trees. */
  toSettle: number;
  /** Something is pruned on the farm. */
  isBegun: boolean;
}

function wantingSection({ lots: wants, isByCrew, toSettle, isBegun }: Wanted, desk: Desk): HTMLElement {
  const list = (some: readonly WantingLot[]): HTMLElement =>
    h("ul", { class: "plain-list quality-wants" }, ...some.map((one) => wantingLine(one, isByCrew, desk)));
  const more = wants.slice(WANTING_SHOWN);
  return h(
    "section",
    {},
    h("h2", {}, LOTS.wanting),
    h("p", {}, wants.length > 0 ? LOTS.wantingLead : !isBegun ? LOTS.noPruned : toSettle > 0 ? LOTS.restInLots : LOTS.nothingWanting),
    wants.length > 0 ? list(wants.slice(0, WANTING_SHOWN)) : null,
    more.length > 0 ? h("details", {}, h("summary", {}, LOTS.moreWanting(more.length)), list(more)) : null,
    toSettleLine(toSettle, desk),
  );
}

function lotLine(lot: Lot, { context, mayWrite }: Desk): HTMLElement {
  const isOpen = !lot.is_decided && lot.cancelled === null;
  const told = lot.cancelled === null ? LOTS.progress(lot) : "";
  const recheck = lot.return_id === null ? "" : LOTS.recheck;
  const of = (words: string): { "aria-label": string } => ({ "aria-label": `${words}: ${QUALITY.lotName(lot)}` });
  const makeReturn = mayWrite ? placeLink(placeOfLot(lot.id), LOTS.makeReturn, context.go, { class: "button", ...of(LOTS.makeReturn) }) : null;
  return h(
    "li",
    { class: "quality-line" },
    h(
      "div",
      {},
      h(
        "div",
        { class: "quality-line-head" },
        lot.cancelled === null ? pithPicture(lot.put_right ? "accepted" : lot.verdict) : null,
        placeLink(placeOfLot(lot.id), QUALITY.lotName(lot), context.go),
        lot.is_decided && lot.cancelled === null ? h("strong", {}, lot.put_right ? LOTS.putRight : LOT_VERDICT[lot.verdict]) : null,
      ),
      ...(lot.cancelled === null ? [] : paragraphs(lot.sentences)),
      h("p", {}, [told, LOTS.holds(lot.lot_trees), LOTS.work(lot.from_day, lot.until_day), recheck, lot.cancelled === null ? LOTS.notJudged(lot) : ""].join(" ").trim()),
      isOpen
        ? h("progress", { class: "quality-progress", max: Math.min(lot.n, lot.lot_trees), value: lot.checked, "aria-label": LOTS.progress(lot) })
        : null,
      wantsReturn(lot) ? h("p", { class: "quality-due" }, isPartSent(lot) ? LOTS.partSent(lot.not_sent_back) : LOTS.noReturn, " ", makeReturn) : null,
    ),
    isOpen && mayWrite
      ? placeLink({ screen: "checks", block: lot.block_id, lot: lot.id }, LOTS.check, context.go, { class: "button", ...of(LOTS.check) })
      : null,
  );
}

function lotList(lots: readonly Lot[], desk: Desk): HTMLElement {
  return h("ul", { class: "plain-list" }, ...lots.map((lot) => lotLine(lot, desk)));
}

function folded(words: string, lots: readonly Lot[], desk: Desk): HTMLElement | null {
  return lots.length === 0 ? null : h("details", {}, h("summary", {}, words), lotList(lots, desk));
}

function apartSection(blocks: readonly BlockSummary[], { context, mayWrite }: Desk): HTMLElement | null {
  if (blocks.length === 0) return null;
  const lines = blocks.map((block) =>
    h(
      "li",
      { class: "quality-line-head" },
      mayWrite ? placeLink({ screen: "checks", block: block.id }, block.code, context.go) : block.code,
      h("strong", {}, LOT_VERDICT[block.verdict]),
      lotWords(block),
    ),
  );
  return h("section", {}, h("h2", {}, LOTS.apart), h("p", {}, LOTS.apartLead), h("ul", { class: "plain-list" }, ...lines));
}

function memorySection(memory: readonly CrewMemory[]): HTMLElement | null {
  if (memory.length === 0) return null;
  const { memoryColumns: columns } = LOTS;
  // normal needs no reason
  const lines = memory.map(({ crew, inspection, words }) => line(crew === "" ? QUALITY.ofBlock : crew, LOTS.inspection[inspection], inspection === "normal" ? "" : words));
  return h(
    "details",
    {},
    h("summary", {}, LOTS.memory),
    h("p", {}, LOTS.memoryLead),
    framedTable(LOTS.memory, [QUALITY.crew, columns.strictness, columns.why], lines),
  );
}

/** Show the part. */
export const showLots: Part = (root, desk) => {
  const { api, context } = desk;
  const { id, today } = context.farm;
  return readingPart(
    root,
    async () => {
      const [told, overview] = await Promise.all([api.lots(id), context.api.overview(id, today)]);
      const { block } = context.place;
      const isShown = ({ block_id }: { block_id: string }): boolean => block === null || block_id === block;
      return {
        cursor: overview.cursor,
        shown: told.lots.filter(isShown),
        lots: wanting(told, overview.blocks).filter(isShown),
        isByCrew: told.wanting !== undefined,
        isBegun: overview.blocks.some(({ pruned }) => pruned > 0),
        toSettle: (told.to_settle ?? []).filter(isShown).reduce((sum, { trees: n }) => sum + n, 0),
        apart: judgedApart(overview.blocks.filter(({ id: of }) => isShown({ block_id: of })), told.lots),
        memory: told.memory,
        blocks: overview.blocks.map(({ id: of, code }) => ({ id: of, code })),
      };
    },
    ({ shown, apart, memory, blocks, ...wants }) => {
      const { back, open, decided, cancelled } = lotsByState(shown);
      return [
        h("p", { class: "quality-lead" }, LOTS.lead),
        ofOneBlock(desk, "lots", blocks),
        back.length === 0 ? null : h("section", {}, h("h2", {}, LOTS.back), lotList(back, desk)),
        wantingSection(wants, desk),
        h("section", {}, h("h2", {}, LOTS.open), open.length === 0 ? h("p", {}, LOTS.noOpen) : lotList(open, desk)),
        h(
          "section",
          {},
          h("h2", {}, LOTS.decided),
          decided.length === 0 ? h("p", {}, LOTS.noDecided) : lotList(decided.slice(0, DECIDED_SHOWN), desk),
          folded(LOTS.older(decided.length - DECIDED_SHOWN), decided.slice(DECIDED_SHOWN), desk),
          folded(LOTS.cancelled(cancelled.length), cancelled, desk),
        ),
        apartSection(apart, desk),
        memorySection(memory),
        desk.isManager ? planSettings(desk) : null,
      ];
    },
  );
};
