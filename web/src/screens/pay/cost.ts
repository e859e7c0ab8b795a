/** What the season cost so far by tree, block and hectare, against the budget that the farm entered. */

import { inCodeOrder } from "../../core/block-order";
import type { BlockSummary } from "../../core/contracts";
import { count } from "../../core/numbers";
import type { BlockCost, Cost } from "../../core/pay-contracts";
import { isNothing, moneyField, moneyText, sumOf, typedMoney } from "../../core/pay-money";
import { PAY, PAY_PART_WORD } from "../../core/pay-wording";
import { SHELL } from "../../core/wording";
import { sentence } from "../../data/request";
import { fill, h } from "../../ui/dom";
import { radioGroup, textField } from "../../ui/field";
import { notice } from "../../ui/notice";
import { placeLink } from "../place-link";
import { figure, following, placeOfPart, reading, table, type Desk, type Part } from "./desk";

function negative(amount: string): string {
  return amount.startsWith("-") ? amount.slice(1) : `-${amount}`;
}

/** Say an amount against the budget: over it or under it. */
function against(amount: string, budget: string, isWhole: boolean, shown: (amount: string) => string): string {
  const left = sumOf([budget, negative(amount)]);
  return left.startsWith("-") ? PAY.over(shown(negative(left))) : PAY.under(shown(left), isWhole);
}

function figures({ cost, cost_per_tree, cost_per_ha, expected, budget, currency, is_whole }: Cost): HTMLElement {
  const money = (amount: string): string => PAY.money(moneyText(amount), currency ?? "");
  const term = (word: string, ...said: (string | null)[]): HTMLElement =>
    h("div", {}, h("dt", {}, word), ...said.map((one) => (one === null ? null : h("dd", {}, one))));
  const isSaid = (amount: string | null | undefined): amount is string => typeof amount === "string";
  return h(
    "dl",
    { class: "pay-figures" },
    term(PAY.costSoFar, isSaid(cost) ? money(cost) : null),
    isSaid(cost_per_tree) && term(PAY.costPerTree, money(cost_per_tree), isSaid(budget?.per_tree) ? against(cost_per_tree, budget.per_tree, is_whole, money) : null),
    isSaid(cost_per_ha) && term(PAY.costColumns.perHa, money(cost_per_ha)),
    isSaid(expected) && term(PAY.costExpected, money(expected), budget === null ? null : against(expected, budget.whole, is_whole, money)),
    term(PAY.budget, budget === null ? PAY.noBudget : PAY.budgetLine(money(budget.whole), money(budget.per_tree ?? "0"))),
  );
}

function blocksTable(cost: Cost, codes: ReadonlyMap<string, BlockSummary>): HTMLElement {
  const { costColumns: words } = PAY;
  const code = ({ block_id }: BlockCost): string => codes.get(block_id)?.code ?? block_id.slice(0, 8);
  const perTree = cost.budget?.per_tree ?? null;
  const rows = cost.blocks
    .filter(({ credited, cost: amount }) => credited > 0 || !isNothing(amount))
    .sort((a, b) => inCodeOrder(code(a), code(b)))
    .map((block) =>
      h(
        "tr",
        {},
        h("th", { scope: "row" }, code(block)),
        figure(count(block.trees)),
        figure(count(block.credited)),
        figure(moneyText(block.cost)),
        figure(block.cost_per_tree === null ? "" : moneyText(block.cost_per_tree)),
        figure(block.cost_per_ha === null ? "" : moneyText(block.cost_per_ha)),
        ...(perTree === null ? [] : [figure(block.cost_per_tree === null ? "" : against(block.cost_per_tree, perTree, cost.is_whole, moneyText))]),
      ),
    );
  const without = cost.without_block ?? "0";
  if (!isNothing(without)) rows.push(h("tr", {}, h("th", { scope: "row", colspan: 3 }, PAY.withoutBlock), figure(moneyText(without)), h("td", { colspan: perTree === null ? 2 : 3 })));
  const head = [words.block, words.trees, words.credited, words.cost, words.perTree, words.perHa, ...(perTree === null ? [] : [words.against])];
  return table(PAY.costColumns.cost, head, [h("tbody", {}, ...rows)]);
}

function budgetForm(desk: Desk, { budget }: Cost, words: string, saved: () => void): HTMLElement {
  const said = notice();
  if (words !== "") said.say(words, "good");
  const amount = textField(PAY.budgetAmount, budget === null ? "" : moneyField(budget.amount), { inputmode: "decimal", maxlength: 16 });
  const per = radioGroup(PAY.budgetPer, Object.entries(PAY.budgetOf).map(([value, label]) => ({ value, label })), budget?.is_per_tree ? "tree" : "season");
  const keep = async (typed: string | null): Promise<void> => {
    said.say(PAY.saving);
    try {
      await desk.api.saveBudget(desk.farm, { amount: typed, is_per_tree: per.value() === "tree" });
      saved();
    } catch (error) {
      said.say(sentence(error, SHELL.noAnswer), "bad");
    }
  };
  const save = (event: Event): void => {
    event.preventDefault();
    const typed = typedMoney(amount.input.value);
    const isWell = typed !== null && !isNothing(typed);
    amount.complain(isWell ? "" : PAY.needsAmount);
    if (isWell) void keep(typed);
    else amount.input.focus();
  };
  return h(
    "form",
    { class: "pay-budget", novalidate: true, on: { submit: save } },
    amount.box,
    per.box,
    h(
      "div",
      { class: "line-buttons" },
      h("button", { type: "submit", class: "main" }, PAY.saveBudget),
      budget === null ? null : h("button", { type: "button", on: { click: () => void keep(null) } }, PAY.forgetBudget),
    ),
    said.box,
  );
}

/** Show the part. */
export const showCost: Part = (root, desk) => {
  const box = h("div", {});
  const read = async (): Promise<[Cost, Map<string, BlockSummary>]> => {
    const [cost, { blocks }] = await Promise.all([desk.api.cost(desk.farm), desk.context.api.overview(desk.farm, desk.today)]);
    return [cost, new Map(blocks.map((block) => [block.id, block]))];
  };
  const drawn = (cost: Cost, codes: Map<string, BlockSummary>, words: string): (HTMLElement | null)[] => {
    if (cost.currency === null) {
      return [h("p", { class: "empty" }, PAY.costNone), placeLink(placeOfPart("rules"), PAY.enterRules, desk.context.go, { class: "button main" })];
    }
    const short = cost.is_whole ? null : h("p", { class: "notice" }, PAY.costNotWhole, " ", placeLink(placeOfPart("run", cost.waits_on ? { day: cost.waits_on } : {}), PAY.toRun, desk.context.go));
    const held = cost.held ? h("p", {}, PAY.heldLead(cost.held)) : null;
    return [short, held, figures(cost), h("section", {}, h("h3", {}, PAY.budget), budgetForm(desk, cost, words, () => void show(PAY.saved))), blocksTable(cost, codes)];
  };
  const show = (words = "", isUnasked = false): Promise<void> =>
    reading(box, desk, read, ([cost, codes]) => follows.draw(cost, isUnasked, () => fill(box, ...drawn(cost, codes, words))), isUnasked);
  const follows = following(box, desk, (isUnasked) => show("", isUnasked));
  fill(root, h("h2", {}, PAY_PART_WORD.cost), h("p", { class: "pay-lead" }, PAY.costLead), follows.line, box);
  void show();
};
