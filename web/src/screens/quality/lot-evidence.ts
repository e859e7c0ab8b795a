/** What a lot's verdict rests on: the share of faulty trees with its interval, by trees and by rows. */

import { scaleEnd } from "../../core/quality-charts";
import type { FullLot } from "../../core/quality-contracts";
import { ends, faultyShare, LOT } from "../../core/quality-lot-wording";
import { inHundred } from "../../core/numbers";
import { h } from "../../ui/dom";
import { promisedShares } from "./oc-chart";
import { intervalBar } from "./signs";

/** Return the section; nothing where no tree is checked. */
export function lotEvidence(lot: FullLot): HTMLElement | null {
  const share = faultyShare(lot);
  const { interval, two_stage: rows } = lot;
  if (share === null || interval === null) return null;
  const [mark = null] = promisedShares(lot.plan);
  const top = scaleEnd(interval.wilson[1], rows?.high ?? 0, mark ?? 0);
  const [low, high] = ends(interval.wilson);
  const words = LOT.intervalWords(low, high, inHundred(interval.confidence));
  return h(
    "section",
    { class: "lot-evidence" },
    h("h3", {}, LOT.share),
    h("p", {}, LOT.shareOfSample(inHundred(share))),
    // the sentence above gives the interval that is told to others: that of these trees
    h(
      "details",
      {},
      h("summary", {}, LOT.more),
      intervalBar({ words, interval: interval.wilson, value: share, scale: [0, top], mark }),
      h("p", {}, words),
      ...(rows === null ? [] : byRows(rows, top, mark)),
      h("p", { class: "quality-hint" }, LOT.scale(inHundred(top))),
    ),
  );
}

function byRows(rows: NonNullable<FullLot["two_stage"]>, top: number, mark: number | null): HTMLElement[] {
  const { share, low, high } = rows;
  if (low === null || high === null) return [h("p", {}, h("strong", {}, LOT.twoStage), ": ", LOT.twoStageAlone(inHundred(share)))];
  const words = LOT.twoStageWords(inHundred(share), inHundred(low), inHundred(high));
  return [
    h("h4", {}, LOT.twoStage),
    h("div", {}, intervalBar({ words, interval: [low, high], value: share, scale: [0, top], mark })),
    h("p", {}, words),
  ];
}
