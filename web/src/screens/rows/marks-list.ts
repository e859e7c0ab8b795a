/** What stands in this block: overlaps to settle, the crew's marks of the day, what was set aside, and everybody's marks. */

import type { Crew, KeptMark, Run } from "../../core/contracts";
import { dayText } from "../../core/numbers";
import { ROWS } from "../../core/rows-wording";
import { fill, h } from "../../ui/dom";
import type { Context } from "../context";

export interface MarksList {
  box: HTMLElement;
  /** What two crews claim; empty where nothing is. */
  overlaps: HTMLElement;
  draw(marks: readonly KeptMark[], day: string, overlaps: readonly Run[]): void;
}
export interface MarksHear {
  takeBack(mark: KeptMark): void;
  see(row: number): void;
}
/** A page longer than this helps nobody on a tablet; the newest are kept. */
const MOST = 200;

function plainList(lines: readonly HTMLElement[]): HTMLElement {
  return h("ul", { class: "plain-list" }, ...lines);
}

function isClaimedTwice({ row, first, last }: KeptMark, overlaps: readonly Run[]): boolean {
  return overlaps.some((run) => run[0] === row && run[1] <= last && first <= run[2]);
}

/** Return the lists. */
export function marksList({ farm }: Context, crew: Crew | null, hears: MarksHear): MarksList {
  const box = h("section", { class: "marks-list" });
  const overlapBox = h("section", { class: "marks-list overlaps" });
  const crewName = new Map(farm.crews.map((one) => [one.id, one.name]));
  const button = (label: string, name: string, click: () => void): HTMLElement =>
    h("button", { type: "button", "aria-label": `${label}: ${name}`, on: { click } }, label);
  const end = (mark: KeptMark, text: string): HTMLElement => {
    if (mark.set_aside !== null) return h("em", {}, ROWS.setAsideBecause(mark.set_aside));
    if (mark.withdrawn) return h("em", {}, ROWS.taken);
    return button(ROWS.takeBack, text, () => hears.takeBack(mark));
  };
  const line = (mark: KeptMark, withCrew: boolean, ...more: HTMLElement[]): HTMLElement => {
    const text = ROWS.markLine(mark.row, mark.first, mark.last);
    const who = withCrew ? ` · ${crewName.get(mark.crew_id) ?? ""} · ${dayText(mark.day)}` : "";
    return h("li", {}, h("span", {}, text + who), h("span", { class: "mark-tools" }, ...more, end(mark, text)));
  };
  const drawOverlaps = (marks: readonly KeptMark[], overlaps: readonly Run[]): void => {
    const claimed = marks.filter((mark) => !mark.withdrawn && isClaimedTwice(mark, overlaps));
    const see = (mark: KeptMark): HTMLElement => button(ROWS.seeRow, String(mark.row), () => hears.see(mark.row));
    const lines = claimed.sort((a, b) => a.row - b.row).map((mark) => line(mark, true, see(mark)));
    if (lines.length === 0) fill(overlapBox);
    else fill(overlapBox, h("h2", {}, ROWS.overlapList), h("p", {}, ROWS.overlapTodo), plainList(lines));
  };
  return {
    box,
    overlaps: overlapBox,
    draw(marks, day, overlaps) {
      const newest = [...marks].sort((a, b) => b.server_at.localeCompare(a.server_at));
      const standing = newest.filter((mark) => mark.set_aside === null);
      const aside = newest.filter((mark) => mark.set_aside !== null && !mark.withdrawn);
      const mine = standing.filter((mark) => mark.crew_id === crew?.id && mark.day === day).slice(0, MOST);
      drawOverlaps(standing, overlaps);
      fill(
        box,
        ...(crew === null
          ? []
          : [
              h("h2", {}, ROWS.lastMarks),
              mine.length === 0 ? h("p", {}, ROWS.noMarks) : plainList(mine.map((mark) => line(mark, false))),
            ]),
        ...(aside.length === 0
          ? []
          : [h("h2", {}, ROWS.setAsideList), h("p", {}, ROWS.setAsideTodo), plainList(aside.map((mark) => line(mark, true)))]),
        h(
          "details",
          {},
          h("summary", {}, ROWS.allMarks(newest.length)),
          plainList(newest.slice(0, MOST).map((mark) => line(mark, true))),
        ),
      );
    },
  };
}
