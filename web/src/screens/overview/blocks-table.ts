/** The table of blocks, sorted by any column by mouse or keyboard. */

import type { BlockSummary } from "../../core/contracts";
import { count, momentText, percent } from "../../core/numbers";
import { addressOf, type FarmScreen, type Place } from "../../core/place";
import { ringWords } from "../../core/ring-wording";
import { roleAt, roleScreens } from "../../core/who";
import { OVERVIEW } from "../../core/overview-wording";
import { blockVerdict, lotWords } from "../../core/wording";
import { h } from "../../ui/dom";
import { ringPicture } from "../../ui/legend-signs";
import { sortableTable } from "../../ui/sortable-table";
import type { Context } from "../context";

type Column = keyof typeof OVERVIEW.columns;
const COLUMNS: readonly Column[] = ["block", "variety", "trees", "pruned", "checks", "verdict"];
const VERDICT_ORDER = { send_back: 0, too_few: 1, accepted_in_part: 2, accepted: 3, not_begun: 4 } as const;

function share(block: BlockSummary): number {
  return block.trees > 0 ? block.pruned / block.trees : 0;
}

const ORDER: Record<Column, (a: BlockSummary, b: BlockSummary) => number> = {
  block: (a, b) => a.code.localeCompare(b.code, "en", { numeric: true }),
  variety: (a, b) => (a.variety ?? "").localeCompare(b.variety ?? "", "en"),
  trees: (a, b) => a.trees - b.trees,
  pruned: (a, b) => share(a) - share(b),
  checks: (a, b) => a.checked - b.checked,
  verdict: (a, b) => VERDICT_ORDER[a.verdict] - VERDICT_ORDER[b.verdict],
};

/** Return where a block leads: to its rows, else its checks, else nowhere, by what the role is shown. */
function wayInto(block: BlockSummary, { who, farm }: Context): Place | null {
  const role = roleAt(who, farm.id);
  const screens: readonly FarmScreen[] = role === null ? [] : roleScreens(role);
  const screen = (["rows", "checks"] as const).find((one) => screens.includes(one));
  return screen === undefined ? null : { screen, block: block.id };
}

function blockName(block: BlockSummary, context: Context): HTMLElement {
  const place = wayInto(block, context);
  if (place === null) return h("span", { title: block.name }, block.code);
  const go = (event: MouseEvent): void => {
    if (event.metaKey || event.ctrlKey || event.shiftKey) return;
    event.preventDefault();
    context.go(place);
  };
  return h("a", { href: addressOf(place), title: block.name, on: { click: go } }, block.code);
}

function line(block: BlockSummary, context: Context): HTMLTableRowElement {
  const closed =
    block.closed === null ? null : h("span", {}, OVERVIEW.closed(momentText(block.closed.until, context.farm.time_zone)));
  return h(
    "tr",
    {},
    h("th", { scope: "row" }, h("span", { class: "block-cell" }, ringPicture(share(block), block.verdict, block), blockName(block, context)), closed),
    h("td", {}, block.variety ?? ""),
    h("td", { class: "number" }, count(block.trees)),
    h("td", { class: "number" }, percent(block.pruned, block.trees)),
    h("td", {}, [lotWords(block), ringWords(block)].filter((said) => said !== "").join("; ")),
    h("td", {}, blockVerdict(block)),
  );
}

/** Return the table. */
export function blocksTable(blocks: readonly BlockSummary[], context: Context): HTMLElement {
  const columns = COLUMNS.map((column) => ({ head: OVERVIEW.columns[column], order: ORDER[column] }));
  const draw = (block: BlockSummary): HTMLTableRowElement => line(block, context);
  return h(
    "section",
    { class: "blocks" },
    h("h2", {}, OVERVIEW.blocks),
    sortableTable(blocks, { label: OVERVIEW.blocks, columns, draw, tie: ORDER.block, begin: 0 }),
  );
}
