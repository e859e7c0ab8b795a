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

/** Say what became of a tree: judged, not to be judged and why, or still due. */
function standing({ check, not_judged }: LotTree): HTMLElement {
  return verdict(check, not_judged?.words ?? LOT.toCheck);
}

/** A later one than the plan's trees is looked at besides, or stands in for another. */
function drawnAs({ number, is_extra, stands_in }: LotTree): string {
  const why = is_extra ? LOT.extra : stands_in === true ? LOT.standsIn : "";
  return why === "" ? String(number) : `${number}, ${why}`;
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

function dayOf({ check, not_judged }: LotTree): HTMLElement | string {
  const day = (check ?? not_judged)?.day ?? null;
  return day === null ? "" : h("span", { class: "lot-day" }, dayText(day));
}

/** Return the table. */
export function lotTrees(lot: FullLot, desk: Desk): HTMLElement {
  const { columns } = LOT;
  const trees = asWalked(lot);
  // columns that nothing stands in only make the others narrow
  const hasSecond = trees.some((tree) => tree.second !== null);
  const hasPhotos = trees.some((tree) => (tree.check?.photos ?? []).length > 0);
  const noteOf = ({ check, not_judged }: LotTree): string => (check ?? not_judged)?.note ?? "";
  const hasNotes = trees.some((tree) => noteOf(tree) !== "");
  const sentences = new Map(lot.points.map(({ key, sentence }) => [key, sentence]));
  const heads = [
    columns.place, columns.check, columns.failed, columns.day, columns.number,
    ...(hasNotes ? [columns.note] : []), ...(hasSecond ? [columns.second] : []), ...(hasPhotos ? [columns.photos] : []),
  ];
  const lines = trees.map((tree) =>
    line(
      LOT.place(tree),
      standing(tree),
      (tree.check?.failed ?? []).map((key) => sentences.get(key) ?? key).join(" "),
      dayOf(tree),
      drawnAs(tree),
      ...(hasNotes ? [noteOf(tree)] : []),
      ...(hasSecond ? [second(tree)] : []),
      ...(hasPhotos ? [photos(tree, desk)] : []),
    ),
  );
  return h("div", { class: "lot-trees" }, framedTable(LOT.trees, heads, lines));
}

/** Return how the draw is done again. */
export function howDrawn({ seed, trees, reserve = [], brief }: FullLot): HTMLElement {
  const order = trees.filter(({ stands_in }) => stands_in !== true).sort((a, b) => a.number - b.number);
  const places = (of: readonly { row: number; position: number }[]): string => of.map(({ row, position }) => `${row}/${position}`).join(", ");
  return h(
    "details",
    {},
    h("summary", {}, LOT.howDrawn),
    h("p", {}, brief === null ? LOT.noBrief : LOT.brief(brief.version, brief.published_at.slice(0, 10))),
    h("p", {}, LOT.howDrawnLead),
    h("p", {}, LOT.seed(seed)),
    h("p", {}, places(order)),
    ...(reserve.length === 0 ? [] : [h("p", {}, LOT.further), h("p", {}, places(reserve.map(([row, position]) => ({ row, position }))))]),
  );
}
