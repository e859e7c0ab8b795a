/** The table of blocks: sorted by any column, found by words, with a line of totals; it follows the day and what is chosen. */

import { inCodeOrder } from "../../core/block-order";
import type { BlockSummary } from "../../core/contracts";
import type { BlockFinish } from "../../core/forecast-contracts";
import { TABLE } from "../../core/glance-wording";
import { count, momentText, percent, weekdayText } from "../../core/numbers";
import type { BlockCost } from "../../core/pay-contracts";
import { moneyText, sumOf } from "../../core/pay-money";
import type { FarmScreen, Place } from "../../core/place";
import { ringWords } from "../../core/ring-wording";
import { roleAt, roleScreens } from "../../core/who";
import { OVERVIEW } from "../../core/overview-wording";
import { blockVerdict, lotWords } from "../../core/wording";
import { h } from "../../ui/dom";
import { textField } from "../../ui/field";
import { ringPicture } from "../../ui/legend-signs";
import { liveTable, type Column } from "../../ui/sortable-table";
import type { Context } from "../context";
import { placeLink } from "../place-link";

/** One block with what is known of it by now; what was not told yet is null. */
export interface Line {
  block: BlockSummary;
  /** The chosen crew's trees. */
  own: number | null;
  pace: number | null;
  finish: BlockFinish | null;
  cost: BlockCost | null;
  /** The day passes by: checks and verdicts of it are not told yet. */
  passes: boolean;
}
/** What the line of totals says of all. */
export interface Whole {
  /** How many blocks the farm has. */
  all: number;
  /** The name of the chosen crew; empty where none is. */
  crew: string;
  /** Of the costs; null where there are none. */
  currency: string | null;
  /** Why no cost is told; empty where it is. */
  noCost: string;
}
export interface BlocksTable {
  box: HTMLElement;
  show(lines: readonly Line[], whole: Whole): void;
}
const VERDICT_ORDER = { send_back: 0, too_few: 1, accepted_in_part: 2, accepted: 3, not_begun: 4 } as const;
const NEVER = "9999";

function prunedOf({ block, own }: Line): number {
  return own ?? block.pruned;
}

function share(line: Line): number {
  return line.block.trees > 0 ? prunedOf(line) / line.block.trees : 0;
}

/** Return when a block is done, as it sorts: what is done first, what no day can be told of last. */
function finishOf({ block, finish }: Line): string {
  return block.pruned >= block.trees ? "" : (finish?.p50 ?? NEVER);
}

function byCode(a: Line, b: Line): number {
  return inCodeOrder(a.block.code, b.block.code);
}

const by = (of: (line: Line) => number) => (a: Line, b: Line): number => of(a) - of(b);
const byText = (of: (line: Line) => string) => (a: Line, b: Line): number => of(a).localeCompare(of(b), "en");

/** Return the columns; nobody but a manager is told what anything cost. */
function columnsFor(seesCost: boolean): (Column<Line> & { cell(line: Line, context: Context): HTMLElement })[] {
  const { columns } = OVERVIEW;
  const figure = (text: string): HTMLElement => h("td", { class: "number" }, text);
  return [
    { head: columns.block, order: byCode, cell: blockCell },
    { head: columns.variety, order: byText(({ block }) => block.variety ?? ""), cell: ({ block }) => h("td", {}, block.variety ?? "") },
    { head: columns.trees, order: by(({ block }) => block.trees), cell: ({ block }) => figure(count(block.trees)) },
    { head: columns.pruned, order: by(share), cell: (line) => figure(percent(prunedOf(line), line.block.trees)) },
    { head: TABLE.pace, order: by(({ pace }) => pace ?? 0), cell: ({ pace }) => figure(pace === null ? "" : count(pace)) },
    { head: columns.checks, order: by(({ block }) => block.checked), cell: ({ block, passes }) => h("td", {}, passes ? "" : [lotWords(block), ringWords(block)].filter((said) => said !== "").join("; ")) },
    { head: columns.verdict, order: by(({ block }) => VERDICT_ORDER[block.verdict]), cell: ({ block, passes }) => h("td", {}, passes ? "" : blockVerdict(block)) },
    { head: TABLE.forecast, order: byText(finishOf), cell: finishCell },
    ...(seesCost ? [{ head: TABLE.cost, order: by(({ cost }: Line) => Number(cost?.cost ?? 0)), cell: costCell }] : []),
  ];
}

/** Return where a block leads: to its rows, else its checks, else nowhere, by what the role is shown. */
function wayInto(block: BlockSummary, { who, farm }: Context): Place | null {
  const role = roleAt(who, farm.id);
  const screens: readonly FarmScreen[] = role === null ? [] : roleScreens(role);
  const screen = (["rows", "checks"] as const).find((one) => screens.includes(one));
  return screen === undefined ? null : { screen, block: block.id };
}

function blockCell(line: Line, context: Context): HTMLElement {
  const { block, passes } = line;
  const place = wayInto(block, context);
  const name = place === null ? h("span", { title: block.name }, block.code) : placeLink(place, block.code, context.go, { title: block.name });
  const closed = block.closed === null ? null : h("span", {}, OVERVIEW.closed(momentText(block.closed.until, context.farm.time_zone)));
  const ring = passes ? ringPicture(share(line), "not_begun") : ringPicture(share(line), block.verdict, block);
  return h("th", { scope: "row" }, h("span", { class: "block-cell" }, ring, name), closed);
}

function finishCell({ block, finish }: Line): HTMLElement {
  if (block.pruned >= block.trees) return h("td", {}, TABLE.done);
  if (finish === null) return h("td", {});
  if (finish.p50 === null) return h("td", {}, TABLE.noDay);
  const late = finish.p90 === null ? TABLE.noLate : TABLE.late(weekdayText(finish.p90));
  return h("td", {}, weekdayText(finish.p50), " ", h("span", { class: "late" }, late));
}

/** Return what the trees of a block cost; where some of them have no rate or no hours yet, of which the amount is. */
function costCell({ block, cost }: Line): HTMLElement {
  // what is not begun cost nothing, and what has no rate or no hours yet is not had for nothing
  if (cost === null || block.pruned === 0) return h("td", { class: "number" });
  if (cost.credited === 0) return h("td", { class: "number" }, TABLE.noCost);
  return h("td", { class: "number" }, moneyText(cost.cost), cost.credited < block.pruned && h("span", { class: "cost-of" }, TABLE.costOf(cost.credited)));
}

/** Return the line below all others. */
function totalLine(lines: readonly Line[], { all, crew, currency }: Whole, seesCost: boolean): HTMLTableRowElement {
  const sum = (of: (line: Line) => number): number => lines.reduce((total, line) => total + of(line), 0);
  const [trees, pruned] = [sum(({ block }) => block.trees), sum(prunedOf)];
  const costs = lines.flatMap(({ cost }) => (cost === null || cost.credited === 0 ? [] : [cost.cost]));
  const figure = (text: string): HTMLElement => h("td", { class: "number" }, text);
  return h(
    "tr",
    {},
    h("th", { scope: "row" }, TABLE.total(lines.length, all)),
    h("td", {}, crew === "" ? "" : TABLE.ofCrew(pruned, crew)),
    figure(count(trees)),
    figure(percent(pruned, trees)),
    h("td", {}),
    figure(count(sum(({ block }) => block.drawn))),
    h("td", {}),
    h("td", {}),
    seesCost && figure(costs.length === 0 ? "" : `${moneyText(sumOf(costs))} ${currency ?? ""}`.trim()),
  );
}

/** Return the table. */
export function blocksTable(context: Context): BlocksTable {
  const seesCost = roleAt(context.who, context.farm.id) === "manager";
  const columns = columnsFor(seesCost);
  const draw = (line: Line): HTMLTableRowElement => h("tr", {}, ...columns.map(({ cell }) => cell(line, context)));
  const table = liveTable<Line>({ label: OVERVIEW.blocks, columns, draw, tie: byCode, begin: 0 });
  const find = textField(TABLE.find, "", { type: "search" });
  const nothing = h("p", { role: "status" });
  const noCost = h("p", { class: "no-cost" });
  let given: Parameters<BlocksTable["show"]> = [[], { all: 0, crew: "", currency: null, noCost: "" }];
  const redraw = (): void => {
    const [lines, whole] = given;
    const words = find.input.value.toLocaleLowerCase().split(/\s+/).filter((word) => word !== "");
    const text = ({ block }: Line): string => [block.code, block.name, block.variety ?? "", blockVerdict(block)].join(" ").toLocaleLowerCase();
    const found = words.length === 0 ? lines : lines.filter((line) => words.every((word) => text(line).includes(word)));
    table.show(found, totalLine(found, whole, seesCost));
    noCost.textContent = seesCost ? whole.noCost : "";
    noCost.hidden = noCost.textContent === "";
    nothing.textContent = found.length === 0 && words.length > 0 ? TABLE.nothing : "";
  };
  find.input.addEventListener("input", redraw);
  return {
    box: h("section", { class: "blocks" }, h("div", { class: "blocks-head" }, h("h2", {}, OVERVIEW.blocks), find.box), nothing, noCost, table.box),
    show(...now) {
      given = now;
      redraw();
    },
  };
}
