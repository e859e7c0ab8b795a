/** What stands in this block: what two crews claim, the crew's marks of the day, what was set aside, and everybody's marks. */

import type { Crew, KeptMark } from "../../core/contracts";
import { asideMarks, rowsOf, type StandingMark } from "../../core/block-marks";
import { dayText } from "../../core/numbers";
import { AGAIN } from "../../core/returns-wording";
import { ROWS } from "../../core/rows-wording";
import { numbersText } from "../../core/several-rows";
import { SHELL } from "../../core/wording";
import { fill, h } from "../../ui/dom";
import { speaksFor, type Context } from "../context";
import type { BlockBook } from "./block-book";

export interface MarksList {
  box: HTMLElement;
  /** What two crews claim; empty where nothing is. */
  overlaps: HTMLElement;
  draw(day: string): void;
}
export interface MarksHear {
  takeBack(mark: StandingMark): void;
  see(row: number): void;
}
/** A page longer than this helps nobody on a tablet; the newest are kept. */
const MOST = 200;

function plainList(lines: readonly HTMLElement[]): HTMLElement {
  return h("ul", { class: "plain-list" }, ...lines);
}
function button(label: string, name: string, click: () => void): HTMLElement {
  return h("button", { type: "button", "aria-label": `${label}: ${name}`, on: { click } }, label);
}

/** Return the lists. */
export function marksList(context: Context, block: string, book: BlockBook, crew: Crew | null, hears: MarksHear): MarksList {
  const { farm, api, sending, place } = context;
  const cameForIt = book.held().some((run) => run.row === place.row);
  const box = h("section", { class: "marks-list" });
  const overlapBox = h("section", { class: "marks-list overlaps" });
  const overlapTitle = h("summary", {});
  const overlapLines = h("div", {});
  // a crew at work sees that there is something; it unfolds for whoever came for it
  const overlapFold = h("details", { open: crew === null || cameForIt }, overlapTitle, overlapLines);
  const own = h("div", {});
  const crewName = new Map(farm.crews.map((one) => [one.id, one.name]));
  const speaks = speaksFor(context);
  const takeBack = (mark: StandingMark, text: string): HTMLElement | null =>
    speaks === null || speaks === mark.crewId ? button(ROWS.takeBack, text, () => hears.takeBack(mark)) : null;
  const item = (text: string, ...tools: (HTMLElement | null)[]): HTMLElement =>
    h("li", {}, h("span", {}, text), h("span", { class: "mark-tools" }, ...tools));
  const line = ({ row, first, last, returnId }: StandingMark): string => (returnId === undefined ? ROWS.markLine : AGAIN.mark)(row, first, last);
  const withCrew = (mark: StandingMark): string =>
    `${line(mark)} · ${crewName.get(mark.crewId) ?? ""} · ${dayText(mark.day)}`;

  const drawOverlaps = (): void => {
    const held = book.held();
    const claimed = book
      .standing()
      .filter((mark) => held.some((run) => run.row === mark.row && run.first <= mark.last && mark.first <= run.last));
    if (claimed.length === 0) return fill(overlapBox);
    const lines = [...claimed]
      .sort((a, b) => a.row - b.row || a.first - b.first)
      .map((mark) => item(withCrew(mark), button(ROWS.seeRow, String(mark.row), () => hears.see(mark.row)), takeBack(mark, line(mark))));
    const again = held.some(({ status }) => status === "reopened") ? h("p", {}, ROWS.reopenedTodo) : null;
    overlapTitle.textContent = ROWS.overlapRows(numbersText(rowsOf(claimed)));
    fill(overlapLines, h("p", {}, ROWS.overlapTodo), again, plainList(lines));
    if (!overlapBox.contains(overlapFold)) fill(overlapBox, overlapFold);
  };
  const drawOwn = (day: string): void => {
    if (crew === null) return fill(own);
    const waiting = new Set(sending.entries().flatMap(({ id, state }) => (state === "waiting" ? [id] : [])));
    // ids are made by time: the newest first
    const mine = [...book.standing(), ...book.answers()].filter((mark) => mark.crewId === crew.id && mark.day === day);
    const newest = [...mine].sort((a, b) => (a.id < b.id ? 1 : -1)).slice(0, MOST);
    const lines = newest.map((mark) =>
      item(line(mark), waiting.has(mark.id) ? h("em", {}, ROWS.waits) : null, takeBack(mark, line(mark))),
    );
    // what the manager let count since stands again
    const counted = new Set([...book.standing(), ...book.answers()].map(({ id }) => id));
    const aside = asideMarks(sending.entries(), block).filter(({ id, crewId }) => crewId === crew.id && !counted.has(id));
    const asideLines = aside.map((mark) =>
      item(withCrew(mark), h("em", {}, mark.isRefused ? ROWS.refused(mark.reason) : ROWS.setAsideBecause(mark.reason))),
    );
    fill(
      own,
      h("h2", {}, ROWS.lastMarks),
      lines.length === 0 ? h("p", {}, ROWS.noMarks) : plainList(lines),
      ...(aside.length === 0
        ? []
        : [h("h2", {}, ROWS.notCounted), h("p", {}, ROWS.notCountedTodo), plainList(asideLines)]),
    );
  };
  const end = (mark: KeptMark): HTMLElement | null => {
    if (mark.set_aside !== null) return h("em", {}, ROWS.setAsideBecause(mark.set_aside));
    if (mark.withdrawn) return h("em", {}, ROWS.taken);
    return takeBack(asStanding(mark), line(asStanding(mark)));
  };
  const all = h("div", {});
  const everything = h("details", {}, h("summary", {}, ROWS.allMarks), all);
  everything.addEventListener("toggle", () => {
    if (everything.open) void readAll();
  });
  const readAll = async (): Promise<void> => {
    if (all.childElementCount === 0) fill(all, h("p", {}, SHELL.loading));
    try {
      const { marks } = await api.marks(block);
      const newest = [...marks].sort((a, b) => b.server_at.localeCompare(a.server_at)).slice(0, MOST);
      fill(all, plainList(newest.map((mark) => item(withCrew(asStanding(mark)), end(mark)))));
    } catch {
      fill(all, h("p", {}, ROWS.noMarksRead));
    }
  };
  fill(box, own, everything);
  return {
    box,
    overlaps: overlapBox,
    draw(day) {
      drawOverlaps();
      drawOwn(day);
      if (everything.open) void readAll();
    },
  };
}

function asStanding({ id, row, first, last, crew_id, day, return_id }: KeptMark): StandingMark {
  return { id, row, first, last, crewId: crew_id, day, ...(return_id ? { returnId: return_id } : {}) };
}
