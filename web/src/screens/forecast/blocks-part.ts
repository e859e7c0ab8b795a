/** The forecast block by block, sorted by any column; late ones are told by a sign and a word. */

import { byCode } from "../../core/block-order";
import type { BlockFinish } from "../../core/forecast-contracts";
import { chanceText } from "../../core/finish-wording";
import { BLOCKS } from "../../core/forecast-wording";
import { standingOf, type BlockStanding } from "../../core/block-finish";
import { count } from "../../core/numbers";
import { h, s } from "../../ui/dom";
import { placeLink } from "../place-link";
import { sortableTable } from "../../ui/sortable-table";
import { crewName, dayOrNever, type Desk, type Reading } from "./desk";

interface Line extends BlockFinish {
  code: string;
  crew: string;
  left: number;
  standing: BlockStanding;
  ownDay: string | undefined;
}

/** In time a ring, perhaps late a ring half full, late a full square: they differ without any colour. */
const SIGNS: Record<BlockStanding, () => SVGElement> = {
  in_time: () => s("circle", { class: "finish-open", cx: 10, cy: 10, r: 7 }),
  may_be_late: () => s("g", {}, s("circle", { class: "finish-open", cx: 10, cy: 10, r: 7 }), s("path", { class: "finish-full", d: "M10 3a7 7 0 0 1 0 14z" })),
  late: () => s("rect", { class: "finish-full", x: 3, y: 3, width: 14, height: 14 }),
};

const byDay = (a: string | null, b: string | null): number => (a ?? "9999").localeCompare(b ?? "9999");
const COLUMNS = [
  { head: BLOCKS.columns.block, order: byCode },
  { head: BLOCKS.columns.crew, order: (a: Line, b: Line) => a.crew.localeCompare(b.crew) },
  { head: BLOCKS.columns.left, order: (a: Line, b: Line) => a.left - b.left },
  { head: BLOCKS.columns.likely, order: (a: Line, b: Line) => byDay(a.p50, b.p50) },
  { head: BLOCKS.columns.late, order: (a: Line, b: Line) => byDay(a.p90, b.p90) },
  { head: BLOCKS.columns.chance, order: (a: Line, b: Line) => a.chance - b.chance },
];

function drawn({ code, crew, left, p50, p90, chance, standing, ownDay }: Line): HTMLTableRowElement {
  return h(
    "tr",
    { "data-standing": standing },
    h("th", { scope: "row" }, code),
    h("td", {}, crew),
    h("td", {}, count(left)),
    h("td", { class: "finish-day" }, dayOrNever(p50)),
    h("td", { class: "finish-day" }, dayOrNever(p90)),
    h("td", {}, h("span", { class: "finish-standing" }, s("svg", { viewBox: "0 0 20 20", "aria-hidden": "true" }, SIGNS[standing]()), [chanceText(chance), BLOCKS.standing[standing], ownDay === undefined ? "" : BLOCKS.ownDay(ownDay)].filter((one) => one !== "").join(", "))),
  );
}

/** Return the part. */
export function blocksPart({ forecast, blocks }: Reading, { context, isManager }: Desk): HTMLElement {
  const lines = forecast.blocks.map((one): Line => {
    const block = blocks.find(({ id }) => id === one.block_id);
    const left = block === undefined ? 0 : block.trees - block.pruned;
    return { ...one, code: block?.code ?? "?", crew: crewName(context, one.crew_id), left, standing: standingOf(one, forecast.must_finish_on), ownDay: one.must_finish_on === forecast.must_finish_on ? undefined : one.must_finish_on };
  });
  return h(
    "section",
    { class: "forecast-blocks" },
    h("h2", {}, BLOCKS.title),
    h("p", {}, lines.length === 0 ? BLOCKS.none : BLOCKS.lead),
    isManager ? h("p", {}, placeLink({ screen: "plan", block: null }, BLOCKS.toPlan, context.go, { class: "forecast-to-plan" })) : null,
    lines.length === 0 ? null : sortableTable(lines, { label: BLOCKS.title, columns: COLUMNS, draw: drawn, tie: byCode }),
  );
}
