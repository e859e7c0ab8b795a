/** The points of the brief that a lot's trees did not meet, each with its drawing, worst first. */

import type { FullLot, LotPoint } from "../../core/quality-contracts";
import { language } from "../../core/language";
import { LOT } from "../../core/quality-lot-wording";
import { pictureAddress } from "../../data/briefs-api";
import { h } from "../../ui/dom";

function pointLine({ key, sentence, class: weight, checked, failed }: LotPoint, { brief }: FullLot): HTMLElement {
  const point = brief?.content.points.find((one) => one.key === key);
  return h(
    "li",
    { class: "lot-point" },
    // the sentence beside it says what is drawn
    point === undefined || point.picture === "" ? h("span", {}) : h("img", { src: pictureAddress(point, language()), alt: "" }),
    h("div", {}, h("p", {}, h("strong", {}, LOT.failedOf(failed, checked)), ` (${LOT.classes[weight]})`), h("p", {}, sentence)),
  );
}

/** Return the section. */
export function lotPoints(lot: FullLot): HTMLElement | null {
  if (lot.checked === 0) return null;
  const failed = lot.points.filter((point) => point.failed > 0);
  const none = lot.points.some(({ checked }) => checked > 0) ? LOT.nothingFailed : LOT.noFindings;
  return h(
    "section",
    {},
    h("h3", {}, LOT.whatFailed),
    failed.length === 0 ? h("p", {}, none) : h("ul", { class: "plain-list lot-points" }, ...failed.map((point) => pointLine(point, lot))),
  );
}
