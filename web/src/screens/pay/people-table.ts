/** What people of a run are paid, crew by crew, and every line of it on demand. */

import { weekdayText } from "../../core/numbers";
import type { PayLine, PayPreview } from "../../core/pay-contracts";
import { fractionOf, hoursText, moneyText, rateText, sumOf } from "../../core/pay-money";
import { peopleByCrew, usedColumns, type CrewPay, type PayColumn, type PersonPay } from "../../core/pay-people";
import { PAY } from "../../core/pay-wording";
import { fill, h } from "../../ui/dom";
import { byName, crewName, figure, personName, table, workName, type Desk } from "./desk";

function personRow(desk: Desk, person: PersonPay, columns: readonly PayColumn[]): HTMLElement {
  return h(
    "tr",
    {},
    h("th", { scope: "row" }, personName(desk, person.person_id)),
    figure(person.hours === null ? "" : hoursText(person.hours)),
    ...columns.map((column) => figure(moneyText(person.amounts[column] ?? "0"))),
    figure(moneyText(person.total)),
  );
}

function crewBody(desk: Desk, crew: CrewPay, columns: readonly PayColumn[]): HTMLElement {
  const name = crewName(desk, crew.crew_id);
  const sums = columns.map((column) => figure(moneyText(sumOf(crew.people.map(({ amounts }) => amounts[column] ?? "0")))));
  const hours = crew.people.reduce((sum, person) => sum + (person.hours ?? 0), 0);
  return h(
    "tbody",
    {},
    h("tr", { class: "pay-crew" }, h("th", { scope: "rowgroup", colspan: columns.length + 3 }, name)),
    ...crew.people.map((person) => personRow(desk, person, columns)),
    h("tr", { class: "pay-sum" }, h("th", { scope: "row" }, PAY.crewTotal(name)), figure(hoursText(hours)), ...sums, figure(moneyText(crew.total))),
  );
}

/** Return the table. */
export function peopleTable(desk: Desk, lines: readonly PayLine[], hours: PayPreview["people"], currency: string): HTMLElement {
  const crews = peopleByCrew(lines, hours, byName(desk));
  const columns = usedColumns(crews);
  const all = PAY.money(moneyText(sumOf(lines.map(({ amount }) => amount))), currency);
  return h(
    "section",
    {},
    table(
      PAY.people,
      [PAY.columns.person, PAY.columns.hours, ...columns.map(PAY.column), PAY.totalIn(currency)],
      crews.map((crew) => crewBody(desk, crew, columns)),
    ),
    h("p", { class: "pay-total" }, PAY.columns.total, " ", h("b", {}, all)),
  );
}

function lineRow(desk: Desk, line: PayLine): HTMLElement {
  const what = line.kind === "trees" || line.variety_id !== null ? `${PAY.kind(line.kind)}: ${workName(desk, line.variety_id, line.method)}` : PAY.kind(line.kind);
  const whole = line.crew_trees > 0 ? PAY.shareOf(line.crew_trees, hoursText(fractionOf(line.hours)), hoursText(fractionOf(line.crew_hours))) : "";
  const rate = fractionOf(line.rate);
  return h(
    "tr",
    {},
    h("td", {}, line.period === "week" ? PAY.weekFrom(line.day) : weekdayText(line.day)),
    h("td", {}, line.is_return ? PAY.goneOver(what) : what),
    h("td", {}, line.paid_before === null ? whole || (line.hours === "0" ? "" : `${hoursText(fractionOf(line.hours))} h`) : PAY.paidBefore(moneyText(line.paid_before), moneyText(sumOf([line.paid_before, line.amount])))),
    figure(rate === 0 ? "" : rateText(rate, line.amount)),
    figure(moneyText(line.amount)),
  );
}

/** Day, what for, and the share: words before the figures. */
const LINE_WORDS = 3;

/** Return every line, person by person, made when it is opened. */
export function linesOf(desk: Desk, lines: readonly PayLine[]): HTMLElement {
  const people = peopleByCrew(lines, [], byName(desk)).flatMap(({ people: own }) => own);
  const { columns } = PAY;
  const body = h("div", {});
  const made = h("details", { class: "pay-lines" }, h("summary", {}, PAY.lines(lines.length)), body);
  made.addEventListener("toggle", () => {
    if (!made.open || body.childElementCount > 0) return;
    const parts = people.map((person) => {
      const name = `${personName(desk, person.person_id)}, ${crewName(desk, person.crew_id)}`;
      return table(PAY.everyLine(name), [columns.day, columns.what, columns.share, columns.rate, columns.amount], [
        h("tbody", {}, ...person.lines.map((line) => lineRow(desk, line))),
      ], LINE_WORDS);
    });
    fill(body, ...parts);
  });
  return made;
}
