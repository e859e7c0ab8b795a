/** Rows by number: typed, scanned from a row end, or narrowed down by the position; one row is shown, several are marked. */

import type { ShapeRow } from "../../core/contracts";
import { BY_NUMBER } from "../../core/rows-wording";
import { numbersText, severalRows, typedRange, type SeveralRows } from "../../core/several-rows";
import { h } from "../../ui/dom";
import { notice } from "../../ui/notice";
import { numberPad } from "../../ui/number-pad";
import type { Panel } from "./action-bar";
import type { BlockBook } from "./block-book";
import { codeScan, type CodeHears } from "./code-scan";
import type { Part } from "./marking";
import { whereSuggestion } from "./where-suggestion";
import type { Whereabouts } from "../../data/position";
import type { Guess } from "../../core/nearest-row";

export { whereGiven } from "./where-given";

export interface ByNumberGiven {
  rows: readonly ShapeRow[];
  book: BlockBook;
  /** The place of the own crew in the runs; -1 for none. */
  crewIndex: number;
  where(): Promise<Whereabouts>;
  guesses(found: Extract<Whereabouts, { state: "found" }>): Guess[];
}
export interface ByNumberHears extends Pick<CodeHears, "blockOf" | "openOther"> {
  see(row: number): void;
  mark(parts: readonly Part[]): void;
}

/** Return the panel. */
export function byNumber(given: ByNumberGiven, hears: ByNumberHears, close: () => void): Panel {
  const { rows, book } = given;
  const shown = h("output", { class: "pad-shown", "aria-label": BY_NUMBER.title });
  const about = notice();
  const show = h("button", { type: "button", on: { click: () => seeTyped() } }, BY_NUMBER.show);
  const mark = h("button", { type: "button", class: "main", on: { click: () => markTyped() } });
  let asked: SeveralRows | null = null;
  let only: number | null = null;

  const type = (text: string): void => {
    shown.textContent = text === "" ? BY_NUMBER.hint : text.replace("-", ` ${BY_NUMBER.to} `);
    shown.dataset["empty"] = String(text === "");
    const range = typedRange(text);
    asked = range === null ? null : severalRows(rows, book.runsOf, range, given.crewIndex);
    only = range !== null && range.from === range.to && asked !== null && asked.missing === 0 ? range.from : null;
    about.say(asked === null ? "" : summary(asked));
    show.hidden = only === null;
    mark.hidden = asked === null || asked.marks.length === 0;
    mark.textContent = BY_NUMBER.mark(asked?.marks.length ?? 0);
  };
  const seeTyped = (): void => {
    if (only === null) return;
    const row = only;
    close();
    hears.see(row);
  };
  const markTyped = (): void => {
    const parts = asked?.marks ?? [];
    close();
    if (parts.length > 0) hears.mark(parts);
  };
  const see = (row: number): void => {
    close();
    hears.see(row);
  };
  const pad = numberPad({ label: BY_NUMBER.title, delete: BY_NUMBER.delete, to: BY_NUMBER.to }, type);
  const scan = codeScan({ ...hears, row: see, hasRow: (row) => book.rowOf(row) !== undefined });
  const where = whereSuggestion(given, see);
  type("");
  return {
    box: h(
      "div",
      { class: "by-number" },
      h(
        "div",
        { class: "pad-side" },
        h("div", { class: "finders" }, where.button, scan.button),
        where.box,
        scan.box,
        shown,
        about.box,
        h("div", { class: "pad-do" }, show, mark),
      ),
      pad.box,
    ),
    leave: scan.stop,
  };
}

/** Say what would be marked, and what is left out and why. */
function summary(asked: SeveralRows): string {
  const { marks, trees, done, again, shared, missing } = asked;
  if (marks.length + done.length + again.length === 0) return BY_NUMBER.none;
  return [
    marks.length === 0 ? BY_NUMBER.nothing : BY_NUMBER.summary(marks.length, trees),
    done.length === 0 ? "" : BY_NUMBER.done(numbersText(done), done.length),
    again.length === 0 ? "" : BY_NUMBER.again(numbersText(again)),
    shared.length === 0 ? "" : BY_NUMBER.shared(numbersText(shared), shared.length),
    missing === 0 ? "" : BY_NUMBER.missing(missing),
  ]
    .filter((part) => part !== "")
    .join(" ");
}

