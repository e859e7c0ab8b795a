/** After the last tree: the verdict on the lot as this device knows it, and what was left out. */

import { lotReasons, lotVerdictWords, SKIP, tallyWords, WALK } from "../../core/check-walk-wording";
import type { LotPack } from "../../core/quality-contracts";
import { checksOfLot, type LotSoFar, type WalkTree } from "../../core/walk-standing";
import type { BlockState } from "../../core/contracts";
import type { Place } from "../../core/place";
import { h } from "../../ui/dom";
import { ringPicture } from "../../ui/legend-signs";
import { placeLink } from "../place-link";

export interface EndGiven {
  lot: LotPack;
  state: BlockState;
  trees: readonly WalkTree[];
  far: LotSoFar;
  isSecond: boolean;
  /** The sentences of the service, where it was heard: its interval is one of them. */
  sentences: readonly string[];
  again(tree: WalkTree): void;
  go(place: Place): void;
  /** All trees, for one that was judged wrongly. */
  list(): void;
}

/** Return what is said at the end of the walk. */
export function walkEnd({ lot, state, trees, far, isSecond, sentences, again, go, list }: EndGiven): HTMLElement {
  const left = trees.filter(({ leftOut }) => leftOut !== null);
  const verdict = isSecond
    ? [h("p", {}, trees.length === 0 ? (checksOfLot(state.checks, lot.id, false).size > 0 ? WALK.ownTrees : WALK.noneForSecond) : WALK.agreed(checksOfLot(state.checks, lot.id, true).size))]
    : [
        h("p", { class: "walk-verdict" }, ringPicture(1, far.verdict), h("strong", {}, lotVerdictWords(far.verdict))),
        ...(sentences.length > 0 ? sentences : [lotReasons(lot, far)]).map((one) => h("p", {}, one)),
        h("p", {}, tallyWords(far)),
        far.isShort && far.verdict === "too_few" ? h("p", {}, WALK.short) : null,
      ];
  const skipped = left.map((tree) =>
    h(
      "li",
      {},
      h("span", {}, h("strong", {}, WALK.place(tree.row, tree.position)), h("br"), tree.leftOut === null ? "" : SKIP[tree.leftOut]),
      tree.leftOut === "blank" ? null : h("button", { type: "button", on: { click: () => again(tree) } }, WALK.lookAgain),
    ),
  );
  return h(
    "section",
    { class: "walk-end" },
    h("h2", {}, trees.length === 0 ? WALK.nothingTitle : WALK.doneTitle),
    ...verdict,
    skipped.length === 0 ? null : h("div", {}, h("h3", {}, WALK.left), h("ul", { class: "plain-list" }, ...skipped)),
    h(
      "div",
      { class: "walk-tools" },
      placeLink({ screen: "quality", block: null, lot: lot.id }, WALK.lotPage(!isSecond && far.verdict === "send_back"), go, { class: "button" }),
      h("button", { type: "button", on: { click: list } }, WALK.allTrees),
    ),
  );
}
