/** One lot: its verdict and what it rests on, the return that is made of it, its trees, and how they were drawn. */

import type { FullLot } from "../../core/quality-contracts";
import { isBegun, isSentBack, wantsReturn } from "../../core/quality-lots";
import { LOT, RETURN_FORM } from "../../core/quality-lot-wording";
import { LOTS, NEW_LOT, QUALITY } from "../../core/quality-wording";
import { LOT_VERDICT } from "../../core/wording";
import { h } from "../../ui/dom";
import { pithPicture } from "../../ui/legend-signs";
import type { Shown } from "../context";
import { placeLink } from "../place-link";
import { agreementFigures } from "./agreement-figures";
import { placeOfPart, readingPart, type Desk } from "./desk";
import { lotEvidence } from "./lot-evidence";
import { lotPicture, lotRows } from "./lot-picture";
import { lotPoints } from "./lot-points";
import { howDrawn, lotTrees } from "./lot-trees";
import { returnForm } from "./make-return";
import { ocCurve } from "./oc-chart";
import { reasonForm } from "./reason-form";
import { paragraphs } from "./signs";
import { areaCard } from "./weak-card";

/** `form` is where the return is made that is due. */
function head(lot: FullLot, { context, mayWrite }: Desk, form: HTMLElement | null): HTMLElement {
  const isOpen = !lot.is_decided && lot.cancelled === null;
  return h(
    "header",
    { class: "lot-head" },
    placeLink(placeOfPart("lots"), LOT.back, context.go, { class: "quality-back" }),
    h("h2", {}, QUALITY.lotName(lot)),
    h(
      "p",
      { class: "lot-verdict" },
      lot.cancelled !== null ? null : pithPicture(lot.put_right ? "accepted" : lot.verdict),
      h("strong", {}, lot.cancelled !== null ? LOT.cancelled : isOpen ? LOT.notDecided : lot.put_right ? LOTS.putRight : LOT_VERDICT[lot.verdict]),
    ),
    ...paragraphs(lot.sentences),
    h("p", {}, [LOTS.holds(lot.lot_trees), LOTS.work(lot.from_day, lot.until_day), lot.return_id === null ? "" : LOT.recheckOf].join(" ")),
    isOpen && mayWrite
      ? placeLink({ screen: "checks", block: lot.block_id, lot: lot.id }, LOTS.check, context.go, { class: "button main" })
      : null,
    form === null ? null : h("button", { type: "button", class: "main", on: { click: () => goToForm(form) } }, RETURN_FORM.title),
  );
}

function goToForm(form: HTMLElement): void {
  form.querySelector("summary")?.focus({ preventScroll: true });
  form.scrollIntoView({ block: "start" });
}

function plan(lot: FullLot): HTMLElement {
  return h(
    "details",
    {},
    h("summary", {}, NEW_LOT.thePlan),
    ...paragraphs([lot.plan_words, ...lot.risks]),
    ocCurve(lot.oc, lot.plan),
  );
}

function cancelling(lot: FullLot, { api, mayWrite, isManager }: Desk, again: () => Promise<void>): HTMLElement | null {
  if (!mayWrite || lot.cancelled !== null) return null;
  if (!isManager && isBegun(lot)) return h("p", { class: "quality-hint" }, LOT.managerCancels);
  return reasonForm(LOT.cancel, LOT.cancelLead, async (reason) => {
    await api.cancelLot(lot.id, reason);
    await again();
  });
}

function secondLooks({ agreement }: FullLot): HTMLElement | null {
  return agreement === null ? null : h("section", {}, h("h3", {}, LOT.secondLooks), agreementFigures(agreement));
}

/** Show one lot. */
export function showLot(root: HTMLElement, desk: Desk, id: string): Shown {
  const { api, context } = desk;
  const { farm } = context;
  return readingPart(
    root,
    async () => {
      const [lot, { cursor, blocks }] = await Promise.all([api.lot(id), context.api.overview(farm.id, farm.today)]);
      const version = blocks.find((block) => block.id === lot.block_id)?.shape_version;
      // all else of a lot can be read without its picture
      const rows = version === undefined ? null : await lotRows(lot, version, desk).catch(() => null);
      return { cursor, lot, rows };
    },
    ({ lot, rows }, again) => {
      const form = isSentBack(lot) && desk.mayWrite ? returnForm(desk, { lot, isOpen: wantsReturn(lot) }) : null;
      return [
        head(lot, desk, wantsReturn(lot) ? form : null),
        lotEvidence(lot),
        lotPoints(lot),
        lot.weak_areas.length === 0
          ? null
          : h("section", {}, h("h3", {}, LOT.weakAreas), ...lot.weak_areas.map((area) => areaCard(area, desk, { hasForm: form === null }))),
        // what the crew is asked comes after what it is asked for
        form,
        h("section", {}, h("h3", {}, LOT.trees), rows === null ? null : lotPicture(lot, rows), lotTrees(lot, desk)),
        secondLooks(lot),
        plan(lot),
        howDrawn(lot),
        cancelling(lot, desk, again),
      ];
    },
  );
}
