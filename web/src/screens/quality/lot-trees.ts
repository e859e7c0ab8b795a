/** A lot's trees as a table in walking order, and how they were drawn. */

import { dayText } from "../../core/numbers";
import type { FullLot, LotCheck, LotTree } from "../../core/quality-contracts";
import { asWalked } from "../../core/quality-lots";
import { LOT } from "../../core/quality-lot-wording";
import { TREE_VERDICT } from "../../core/wording";
import { h } from "../../ui/dom";
import { budPicture } from "../../ui/legend-signs";
import type { Desk } from "./desk";
import { framedTable, line } from "./signs";

function verdict(check: LotCheck | null, empty: string): HTMLElement {
  if (check === null) return h("span", {}, empty);
  return h("span", { class: "bud-and-word" }, budPicture(check.verdict), TREE_VERDICT[check.verdict]);
}

function second({ check, second: other }: LotTree): HTMLElement | null {
  if (other === null) return null;
  const differs = check !== null && check.verdict !== other.verdict;
  return h("span", {}, verdict(other, ""), differs ? h("strong", {}, ` ${LOT.differs}`) : null);
}

function photos({ check, row, position }: LotTree, { api }: Desk): HTMLElement | null {
  const taken = check?.photos ?? [];
  if (taken.length === 0) return null;
  const links = taken.map((photo, at) => {
    const src = api.photoAddress(photo);
    return h("a", { href: src, target: "_blank" }, h("img", { class: "tree-photo", src, alt: LOT.photo(at + 1, row, position), loading: "lazy" }));
  });
  return h("span", { class: "tree-photos" }, ...links);
}

/** Return the table. */
export function lotTrees(lot: FullLot, desk: Desk): HTMLElement {
  const { columns } = LOT;
  const trees = asWalked(lot);
  // columns that nothing stands in only make the others narrow
  const hasSecond = trees.some((tree) => tree.second !== null);
  const hasPhotos = trees.some((tree) => (tree.check?.photos ?? []).length > 0);
  const hasNotes = trees.some((tree) => (tree.check?.note ?? "") !== "");
  const sentences = new Map(lot.points.map(({ key, sentence }) => [key, sentence]));
  const heads = [
    columns.place, columns.check, columns.failed, columns.day, columns.number,
    ...(hasNotes ? [columns.note] : []), ...(hasSecond ? [columns.second] : []), ...(hasPhotos ? [columns.photos] : []),
  ];
  const lines = trees.map((tree) =>
    line(
      LOT.place(tree),
      verdict(tree.check, LOT.toCheck),
      (tree.check?.failed ?? []).map((key) => sentences.get(key) ?? key).join(" "),
      tree.check === null ? "" : h("span", { class: "lot-day" }, dayText(tree.check.day)),
      tree.is_extra ? `${tree.number}, ${LOT.extra}` : String(tree.number),
      ...(hasNotes ? [tree.check?.note ?? ""] : []),
      ...(hasSecond ? [second(tree)] : []),
      ...(hasPhotos ? [photos(tree, desk)] : []),
    ),
  );
  return h("div", { class: "lot-trees" }, framedTable(LOT.trees, heads, lines));
}

/** Return how the draw is done again. */
export function howDrawn({ seed, trees, brief }: FullLot): HTMLElement {
  const order = [...trees].sort((a, b) => a.number - b.number);
  return h(
    "details",
    {},
    h("summary", {}, LOT.howDrawn),
    h("p", {}, brief === null ? LOT.noBrief : LOT.brief(brief.version, brief.published_at.slice(0, 10))),
    h("p", {}, LOT.howDrawnLead),
    h("p", {}, LOT.seed(seed)),
    h("p", {}, order.map(({ row, position }) => `${row}/${position}`).join(", ")),
  );
}
