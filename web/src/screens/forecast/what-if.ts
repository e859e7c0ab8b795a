/** What if: cases in columns beside how things stand. Nothing of it is saved. */

import type { Case, CaseFinish } from "../../core/forecast-contracts";
import { chanceText } from "../../core/finish-wording";
import { FORECAST, TAKES } from "../../core/forecast-wording";
import { offers, tidy, type Certainty } from "../../core/what-if";
import { caseWords, WHAT_IF } from "../../core/what-if-wording";
import { SHELL } from "../../core/wording";
import { sentence } from "../../data/request";
import { fill, h } from "../../ui/dom";
import { notice } from "../../ui/notice";
import { caseForm } from "./case-form";
import { dayOrNever, type Reading } from "./desk";

const MOST_CASES = 7;

export interface WhatIfPart {
  box: HTMLElement;
  /** Reckon the cases that stand there anew. */
  draw(reading: Reading, certainty: Certainty): Promise<void>;
}

/** Return the part; the cases stay when the forecast is read anew. */
export function whatIf(): WhatIfPart {
  let cases: Case[] = [];
  let last: { reading: Reading; certainty: Certainty } | null = null;
  const said = notice();
  const table = h("div", { class: "forecast-table", tabindex: 0, role: "region", "aria-label": WHAT_IF.title });
  const offered = h("div", { class: "line-buttons" });
  const form = caseForm((one) => put(one));

  const put = (one: Case): void => {
    if (last?.reading.standing == null) return;
    const clean = tidy(one, last.reading.standing.calendar);
    if (Object.keys(clean).length === 0) return said.say(WHAT_IF.form.nothing, "bad");
    if (cases.length >= MOST_CASES) return said.say(WHAT_IF.full, "bad");
    if (cases.some((other) => JSON.stringify(other) === JSON.stringify(clean))) return;
    cases = [...cases, clean];
    void redraw();
  };
  const takeAway = (at: number): void => {
    cases = cases.filter((_, other) => other !== at);
    void redraw();
    offered.querySelector("button")?.focus();
  };

  const drawOffers = ({ standing }: Reading): void => {
    if (standing === null) return;
    const buttons = offers(standing).map(([offer, one]) =>
      h("button", { type: "button", on: { click: () => put(one) } }, WHAT_IF.offers[offer]),
    );
    fill(offered, h("p", {}, WHAT_IF.putBeside), ...buttons);
  };
  const head = (one: Case, at: number, reading: Reading): HTMLElement => {
    const words = reading.standing === null ? "" : caseWords(one, reading.standing);
    return h(
      "th",
      { scope: "col" },
      h("span", {}, words),
      h(
        "span",
        { class: "line-buttons" },
        h("button", { type: "button", class: "quiet", "aria-label": WHAT_IF.changeOf(words), on: { click: () => form.open(one) } }, WHAT_IF.change),
        h("button", { type: "button", class: "quiet", "aria-label": WHAT_IF.removeOf(words), on: { click: () => takeAway(at) } }, WHAT_IF.takeAway),
      ),
    );
  };
  const drawTable = (reading: Reading, certainty: Certainty): void => {
    const found = [{}, ...cases].map((one) => reading.reckoned.of(one, certainty));
    const cells = (text: (one: CaseFinish) => string): HTMLElement[] =>
      found.map((one) => h("td", {}, one === null ? FORECAST.reckoning : text(one)));
    const line = (label: string, text: (one: CaseFinish) => string): HTMLElement => h("tr", {}, h("th", { scope: "row" }, label), ...cells(text));
    const { likely, late, chance } = WHAT_IF.rows;
    fill(
      table,
      h(
        "table",
        { class: "forecast-cases" },
        h("thead", {}, h("tr", {}, h("td", {}), h("th", { scope: "col" }, WHAT_IF.asItStands), ...cases.map((one, at) => head(one, at, reading)))),
        h(
          "tbody",
          {},
          line(likely, ({ finish }) => dayOrNever(finish.p50)),
          line(late, ({ finish }) => dayOrNever(finish.p90)),
          line(chance, (one) => chanceText(one.chance)),
          line(WHAT_IF.forSure(TAKES.sure[certainty]), ({ short_people }) => (short_people === 0 ? WHAT_IF.enough : WHAT_IF.short(short_people))),
        ),
      ),
    );
  };
  const redraw = async (): Promise<void> => {
    if (last === null) return;
    const { reading, certainty } = last;
    said.say("");
    drawTable(reading, certainty);
    try {
      await reading.reckoned.need([{}, ...cases], certainty);
    } catch (error) {
      cases = cases.filter((one) => reading.reckoned.of(one, certainty) !== null);
      said.say(sentence(error, SHELL.noAnswer), "bad");
    }
    if (last.reading === reading && last.certainty === certainty) drawTable(reading, certainty);
  };
  return {
    box: h("section", { class: "forecast-what-if" }, h("h2", {}, WHAT_IF.title), h("p", {}, WHAT_IF.lead), offered, said.box, table, form.box),
    draw(reading, certainty) {
      if (last?.reading !== reading) {
        drawOffers(reading);
        form.draw(reading);
      }
      last = { reading, certainty };
      return redraw();
    },
  };
}
