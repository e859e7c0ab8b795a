/** What stands in this block: the crew's marks of the day, what was set aside, and everybody's marks; each can be taken back. */

import type { Crew, KeptMark } from "../../core/contracts";
import { dayText } from "../../core/numbers";
import { ROWS } from "../../core/wording";
import { fill, h } from "../../ui/dom";
import type { Context } from "../context";

export interface MarksList {
  box: HTMLElement;
  draw(marks: readonly KeptMark[], day: string, overlapRows: ReadonlySet<number>): void;
}
/** A page longer than this helps nobody on a tablet; the newest are kept. */
const MOST = 200;

/** Return the list; `takeBack` hears the mark's id and row. */
export function marksList(
  { farm }: Context,
  crew: Crew,
  takeBack: (markId: string, row: number) => void,
): MarksList {
  const box = h("section", { class: "marks-list" });
  const crewName = new Map(farm.crews.map((one) => [one.id, one.name]));
  const line = (mark: KeptMark, withCrew: boolean): HTMLElement => {
    const text = ROWS.markLine(mark.row, mark.first, mark.last);
    const who = withCrew ? ` · ${crewName.get(mark.crew_id) ?? ""} · ${dayText(mark.day)}` : "";
    return h(
      "li",
      {},
      h("span", {}, text + who),
      mark.withdrawn
        ? h("em", {}, ROWS.taken)
        : h(
            "button",
            { type: "button", "aria-label": `${ROWS.takeBack}: ${text}`, on: { click: () => takeBack(mark.id, mark.row) } },
            ROWS.takeBack,
          ),
    );
  };
  return {
    box,
    draw(marks, day, overlapRows) {
      const newest = [...marks].sort((a, b) => b.server_at.localeCompare(a.server_at));
      const standing = newest.filter((mark) => mark.set_aside === null);
      const aside = newest.filter((mark) => mark.set_aside !== null && !mark.withdrawn);
      const claimed = standing.filter((mark) => overlapRows.has(mark.row) && !mark.withdrawn);
      const mine = standing.filter((mark) => mark.crew_id === crew.id && mark.day === day).slice(0, MOST);
      fill(
        box,
        ...(claimed.length === 0
          ? []
          : [
              h("h2", {}, ROWS.overlapList),
              h("p", {}, ROWS.overlapTodo),
              h("ul", { class: "plain-list" }, ...claimed.map((mark) => line(mark, true))),
            ]),
        h("h2", {}, ROWS.lastMarks),
        mine.length === 0
          ? h("p", {}, ROWS.noMarks)
          : h("ul", { class: "plain-list" }, ...mine.map((mark) => line(mark, false))),
        ...(aside.length === 0
          ? []
          : [
              h("h2", {}, ROWS.setAsideList),
              h("p", {}, ROWS.setAsideTodo),
              h(
                "ul",
                { class: "plain-list" },
                ...aside.map((mark) =>
                  h("li", {}, ROWS.setAsideLine(mark.row, mark.first, mark.last, mark.set_aside ?? "")),
                ),
              ),
            ]),
        h(
          "details",
          {},
          h("summary", {}, ROWS.allMarks(standing.length)),
          h("ul", { class: "plain-list" }, ...standing.slice(0, MOST).map((mark) => line(mark, true))),
        ),
      );
    },
  };
}
