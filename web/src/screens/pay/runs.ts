/** Runs that were exported: as they were paid, with their sheets. */

import { language } from "../../core/language";
import { momentText } from "../../core/numbers";
import type { PayRun, PayRunHead } from "../../core/pay-contracts";
import { moneyText } from "../../core/pay-money";
import { PAY, PAY_PART_WORD } from "../../core/pay-wording";
import { SHELL } from "../../core/wording";
import type { SheetKind } from "../../data/pay-api";
import { sentence } from "../../data/request";
import { fill, h } from "../../ui/dom";
import { emptyState, notice } from "../../ui/notice";
import { saveFile } from "../../ui/save-file";
import { crewName, placeOfPart, reading, type Desk, type Part } from "./desk";
import { linesOf, peopleTable } from "./people-table";

function sheets(desk: Desk, run: PayRun): HTMLElement {
  const said = notice();
  const fetchIt = async (kind: SheetKind): Promise<void> => {
    said.say(PAY.fetching);
    try {
      const name = PAY.file(run.number, kind);
      saveFile(await desk.api.sheet(desk.farm, run.id, kind, language()), name);
      said.say(PAY.fetched(name), "good");
    } catch (error) {
      said.say(sentence(error, SHELL.noAnswer), "bad");
    }
  };
  const button = (words: string, kind: SheetKind): HTMLElement => h("button", { type: "button", on: { click: () => void fetchIt(kind) } }, words);
  return h("div", {}, h("div", { class: "line-buttons" }, button(PAY.peoplePdf, "people"), button(PAY.crewsPdf, "crews"), button(PAY.xlsx, "book")), said.box);
}

function head(desk: Desk, run: PayRunHead): HTMLElement[] {
  const { amount, currency, people, corrections, corrected } = run;
  const words = [
    `${PAY.runDays(run.first, run.last)}, ${crewName(desk, run.crew_id)}`,
    PAY.runLine(PAY.money(moneyText(amount), currency), people),
    ...(corrections === 0 ? [] : [PAY.runCorrected(moneyText(corrected), corrections)]),
    PAY.exportedAt(momentText(run.exported_at, desk.context.farm.time_zone)),
  ];
  return words.map((word) => h("p", {}, word));
}

/** Show one run in place of what is there. */
export function showRunPage(root: HTMLElement, desk: Desk, id: string): void {
  const box = h("div", {});
  const back = h("button", { type: "button", class: "quiet", on: { click: () => showRuns(root, desk) } }, PAY.back);
  fill(root, back, box);
  void reading(box, desk, () => desk.api.run(desk.farm, id), (run) => {
    const title = h("h2", { tabindex: -1 }, PAY.runName(run.number));
    fill(box, title, ...head(desk, run), sheets(desk, run), peopleTable(desk, run.lines, run.worked, run.currency), linesOf(desk, run.lines));
    title.focus();
  });
}

/** Show the part. */
export const showRuns: Part = (root, desk) => {
  const box = h("div", {});
  fill(root, h("h2", {}, PAY_PART_WORD.runs), box);
  void reading(box, desk, () => desk.api.runs(desk.farm), ({ runs }) => {
    if (runs.length === 0) {
      fill(box, emptyState(PAY.runsNone, { label: PAY.toRun, run: () => desk.context.go(placeOfPart("run")) }));
      return;
    }
    const lines = runs.map((run) =>
      h(
        "li",
        { class: "pay-run" },
        h("div", {}, h("h3", {}, PAY.runName(run.number)), ...head(desk, run)),
        h("button", { type: "button", "aria-label": PAY.openOf(run.number), on: { click: () => showRunPage(root, desk, run.id) } }, PAY.open),
      ),
    );
    fill(box, h("ul", { class: "plain-list" }, ...lines));
  });
};
