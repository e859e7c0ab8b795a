/** A run of days: what is missing, what crews and people get, held trees, and the export that locks it. */

import { moneyText, hoursText } from "../../core/pay-money";
import type { PayPreview } from "../../core/pay-contracts";
import { keptDays } from "../../core/pay-place";
import { dayAfter, daysBetween, daysToPay, weekOf } from "../../core/pay-week";
import { PAY, PAY_PART_WORD } from "../../core/pay-wording";
import { count } from "../../core/numbers";
import { SHELL } from "../../core/wording";
import type { RunWish } from "../../data/pay-api";
import { fill, h } from "../../ui/dom";
import { choiceField, dayField } from "../../ui/field";
import { freshId, STILL } from "../context";
import { placeLink } from "../place-link";
import { sure } from "../people/sure";
import { byName, crewName, figure, following, placeOfPart, reading, table, weekStart, type Desk, type Part } from "./desk";
import { heldPart } from "./held";
import { linesOf, peopleTable } from "./people-table";
import { missingPart } from "./missing";
import { showRunPage } from "./runs";

const WEEK = 7;

function daysForm({ context, today, day, until }: Desk, wish: RunWish, changed: (wish: RunWish) => void): HTMLElement {
  const first = dayField(PAY.first, wish.first, { max: today, required: true });
  const last = dayField(PAY.last, wish.last, { max: today, required: true });
  const crews = context.farm.crews.map(({ id, name }) => ({ value: id, label: name }));
  const crew = choiceField(PAY.crew, [{ value: "", label: PAY.allCrews }, ...crews], wish.crew_id ?? "");
  const now = (): RunWish => ({ first: first.input.value, last: last.input.value, crew_id: crew.input.value || null });
  const look = (event?: Event): void => {
    event?.preventDefault();
    const isTurned = last.input.value !== "" && last.input.value < first.input.value;
    last.complain(isTurned ? PAY.turnedDays : "");
    if (isTurned) return last.input.focus();
    if (first.input.value !== "" && last.input.value !== "") changed(now());
  };
  /** Days beside the first one: what today cuts off comes back with the days before. */
  let more = day === null || until !== null ? daysBetween(wish.first, wish.last) : WEEK - 1;
  const put = (field: typeof first, to: string): void => {
    field.input.value = to;
    field.input.dispatchEvent(new Event("input"));
  };
  for (const { input } of [first, last]) {
    input.addEventListener("change", () => {
      if (first.input.value !== "" && last.input.value !== "") more = Math.max(0, daysBetween(first.input.value, last.input.value));
    });
  }
  const move = (days: number) => (): void => {
    const begins = dayAfter(first.input.value || wish.first, days);
    if (begins > today) return;
    const ends = dayAfter(begins, more);
    put(first, begins);
    put(last, ends > today ? today : ends);
    look();
  };
  return h(
    "form",
    { class: "form pay-days", novalidate: true, on: { submit: look } },
    first.box,
    last.box,
    crew.box,
    h(
      "div",
      { class: "line-buttons" },
      h("button", { type: "submit", class: "main" }, PAY.look),
      h("button", { type: "button", on: { click: move(-WEEK) } }, PAY.earlier),
      h("button", { type: "button", on: { click: move(WEEK) } }, PAY.later),
    ),
  );
}

function crewsTable(desk: Desk, { crews }: PayPreview): HTMLElement {
  const { columns } = PAY;
  const order = byName(desk);
  const rows = [...crews].sort((a, b) => order(a.crew_id, b.crew_id)).map(({ crew_id, trees, gone_over, hours }) =>
    h("tr", {}, h("th", { scope: "row" }, crewName(desk, crew_id)), figure(count(trees)), figure(count(gone_over)), figure(hoursText(Number(hours)))),
  );
  return table(PAY.crews, [columns.crew, columns.trees, columns.again, columns.hours], [h("tbody", {}, ...rows)]);
}

function exportPart(desk: Desk, preview: PayPreview, done: (run: string) => void): HTMLElement {
  const { first, last, crew_id, digest: seen, amount, currency, lines, missing } = preview;
  const people = new Set(lines.map(({ person_id }) => person_id)).size;
  const id = freshId(); // the same one when the answer was lost and the button is touched again
  const button = sure({
    button: PAY.export,
    label: PAY.export,
    question: PAY.exportSure(PAY.money(moneyText(amount), currency ?? ""), people),
    yes: PAY.exportYes,
    async run() {
      const run = await desk.api.exportRun(desk.farm, { id, first, last, crew_id, seen });
      done(run.id);
    },
  });
  return h("section", { class: "pay-export" }, h("p", {}, PAY.exportLead), missing.length === 0 ? button : null);
}

function drawn(desk: Desk, preview: PayPreview, done: (run: string) => void): (HTMLElement | null)[] {
  if (!preview.has_rules) {
    const link = placeLink(placeOfPart("rules"), PAY.enterRules, desk.context.go, { class: "button main" });
    return [h("div", { class: "empty" }, h("p", {}, PAY.noRules), link), crewsTable(desk, preview), heldPart(desk, preview)];
  }
  const nothing = preview.lines.length === 0;
  return [
    missingPart(desk, preview),
    preview.crews.length === 0 ? null : crewsTable(desk, preview),
    nothing ? h("p", { class: "empty" }, PAY.nothing) : peopleTable(desk, preview.lines, preview.people, preview.currency ?? ""),
    nothing ? null : linesOf(desk, preview.lines),
    heldPart(desk, preview),
    nothing ? null : exportPart(desk, preview, done),
  ];
}

/** Show the part. */
export const showRun: Part = (root, desk) => {
  const box = h("div", {});
  fill(root, h("h2", {}, PAY_PART_WORD.run), box);
  const read = async (): Promise<Begin> => {
    const [starts, { runs }] = await Promise.all([weekStart(desk), desk.api.runs(desk.farm)]);
    if (desk.day === null) return { days: daysToPay(desk.today, runs, starts), starts };
    if (desk.until !== null) return { days: [desk.day, desk.until], starts };
    const [first = desk.day, , , , , , last = desk.day] = weekOf(desk.day, starts);
    return { days: [first, last], starts };
  };
  void reading(box, desk, read, (begin) => runPart(root, box, desk, begin));
};

/** The days to begin with, and the weekday that weeks of pay begin on. */
interface Begin {
  days: [first: string, last: string];
  starts: number;
}

function runPart(root: HTMLElement, box: HTMLElement, desk: Desk, { days: [first, last], starts }: Begin): void {
  const result = h("div", { class: "pay-result", "aria-live": "polite" });
  let wish: RunWish = { first, last: last > desk.today ? desk.today : last, crew_id: desk.context.place.crew ?? null };
  const paid = (run: string): void => {
    desk.keep("run", null); // what is paid now is not offered to be paid again
    desk.follow(STILL);
    showRunPage(root, desk, run);
  };
  const read = (isUnasked: boolean): Promise<void> => {
    const asked = wish;
    const draw = (preview: PayPreview): void => {
      if (asked === wish) follows.draw(preview, isUnasked, () => fill(result, ...drawn(desk, preview, paid)));
    };
    return reading(result, desk, () => desk.api.preview(desk.farm, asked), draw, isUnasked);
  };
  const follows = following(result, desk, read);
  const look = (to: RunWish): void => {
    wish = to;
    desk.keep("run", keptDays([wish.first, wish.last], desk.today, starts), wish.crew_id);
    fill(result, h("p", {}, SHELL.loading));
    void read(false);
  };
  fill(box, daysForm(desk, wish, look), follows.line, result);
  look(wish);
}
