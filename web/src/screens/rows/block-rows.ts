/** The rows of one block as strips, the bar that marks and undoes, and what was marked today. */

import type { Crew, ShapeRow } from "../../core/contracts";
import { runsOfRow, stillClaimed, treesIn } from "../../core/coverage";
import { dayText } from "../../core/numbers";
import { ROWS } from "../../core/rows-wording";
import { SHELL } from "../../core/wording";
import { sentence } from "../../data/request";
import type { Parcel } from "../../data/sending";
import { fill, h } from "../../ui/dom";
import { keepInPlace } from "../../ui/keep-in-place";
import { emptyState, notice } from "../../ui/notice";
import { settle } from "../../ui/settling";
import type { BlockReading } from "../block-reading";
import type { Context, Shown } from "../context";
import { actionBar } from "./action-bar";
import { cautions } from "./cautions";
import { marksList } from "./marks-list";
import { markingOf, type Done } from "./marking";
import { rowStrip, type RowStrip } from "./row-strip";
import { rowsHead } from "./rows-head";
import { stripKey } from "./strip-key";
import "./rows.css";

export interface Work {
  /** Null for somebody who only looks: a manager who settles an overlap has no crew. */
  crew: Crew | null;
  seasonId: string;
  pickCrew(): void;
}

/** Show the rows of a block in `root`. */
export function showBlockRows(root: HTMLElement, context: Context, reading: BlockReading, work: Work): Shown {
  const { block, shape, longest } = reading;
  const { farm, sending } = context;
  let { state } = reading;
  let left = false;
  let asked = 0;
  let drawn = 0;
  const strips = new Map<number, RowStrip>();
  const rowOf = new Map(shape.rows.map((row) => [row.n, row]));
  /** Rows with a record on its way; until the state is read after it, a further tap would mark them twice. */
  const busy = new Set<number>();
  const said = notice();
  const head = rowsHead(reading, context, work, () => void read());
  const marking = markingOf(
    context,
    work,
    { block: block.id, trees: (n, stretch) => treesIn(rowOf.get(n) ?? { n, p: 0, e: 0, parts: [] }, stretch) },
    head.entered,
  );
  const runsOf = (n: number): ReturnType<typeof runsOfRow> => runsOfRow(state.runs, n);
  const marks = marksList(context, work.crew, {
    takeBack: (mark) => void startIfFree(mark.row, () => marking.takeBack([mark], mark.row)),
    see: (row) => strips.get(row)?.box.scrollIntoView({ block: "center" }),
  });
  const bar = actionBar({
    mark: (row, stretches) => void after(row.n, () => marking.mark(row.n, stretches)),
    undo: (done) => void startIfFree(done.row, () => marking.takeBack(done.marks, done.row)),
    tryAgain: () => void context.tryAgain(),
    preview: (row, stretch) => strips.forEach((strip, n) => strip.preview(n === row?.n ? stretch : null)),
    back: (row) => strips.get(row.n)?.focusEnd(),
    otherCrews: (row) => otherCrews(row),
    runsOf: (row) => runsOf(row.n),
  });
  const otherCrews = (row: ShapeRow): string[] => {
    const crews = [...new Set(runsOf(row.n).map((run) => run[4]))].map((index) => state.crews[index]);
    return crews.flatMap((crew) => (crew === undefined || crew.id === work.crew?.id ? [] : [crew.name]));
  };
  const unsaved = (row: number): Parcel | undefined =>
    sending.waitingFor(block.id).find(({ subject, records }) => subject.row === row && records.kind !== "checks");

  const drawStrips = (): void => strips.forEach((strip, n) => strip.update(runsOf(n)));
  const drawFates = (rows: readonly number[]): void => {
    for (const row of rows) {
      strips.get(row)?.setFate(busy.has(row) ? "saving" : unsaved(row) === undefined ? "" : "not-saved");
    }
    const unsent = [...strips].filter(([, strip]) => strip.fate() === "not-saved").map(([n]) => n);
    bar.wait([...busy], new Set(unsent));
  };
  /** Draw what the service holds now; tells whether it could be read. */
  const read = async (): Promise<boolean> => {
    asked += 1;
    const mine = asked;
    try {
      // always as of today: a mark for yesterday must not claim what was pruned since
      const [fresh, kept] = await Promise.all([
        context.api.state(block.id, farm.today),
        context.api.marks(block.id),
      ]);
      if (left || mine < drawn) return true; // a later reading is drawn already
      const isFirst = drawn === 0;
      drawn = mine;
      state = fresh;
      drawStrips();
      drawFates([...strips.keys()]);
      const overlaps = state.runs.filter((run) => run[3] === 2);
      const drawMarks = (): void => marks.draw(kept.marks, head.entered().day, overlaps);
      if (isFirst) begin(drawMarks);
      else keepInPlace(list, drawMarks);
      said.say("");
      return true;
    } catch (error) {
      said.say(sentence(error, SHELL.noAnswer), "bad");
      return false;
    }
  };
  const after = async (row: number, start: () => Promise<Done>): Promise<void> => {
    busy.add(row);
    drawFates([row]);
    try {
      const done = await start();
      // drawn before it is said, so that "saved" never stands beside a row that still looks unpruned
      const known = done.answered ? await read() : true;
      busy.delete(row);
      if (left) return;
      if (!known) drawFromReceipt(done);
      drawFates([row]);
      bar.say(known ? truly(done) : done);
    } finally {
      busy.delete(row);
    }
  };
  /** The service took the marks but its state could not be read: the row must not look unpruned all the same. */
  const drawFromReceipt = ({ row, marks: taken }: Done): void => {
    const index = state.crews.findIndex((crew) => crew.id === work.crew?.id);
    const runs = taken.map(({ first, last }): (typeof state.runs)[number] => [row, first, last, 1, index]);
    state = { ...state, runs: [...state.runs, ...runs] };
    drawStrips();
  };
  /** "Taken back" alone is said only where the positions are free now. */
  const truly = (done: Done): Done => {
    const still = stillClaimed(runsOf(done.row), done.withdrawn);
    if (still.length === 0) return done;
    const parts = still.map(({ first, last }) => ROWS.part(first, last)).join(", ");
    return { ...done, text: ROWS.undoneButClaimed(done.row, parts), tone: "plain" };
  };
  /** Tell whether a tap may make a new record of the row; what of it is not saved is sent again instead. */
  const isFree = (row: number): boolean => {
    if (busy.has(row)) return false;
    if (strips.get(row)?.fate() !== "not-saved") return true;
    const parcel = unsaved(row);
    if (parcel === undefined) void read();
    else if (parcel.fate.state === "not-sent") void after(row, () => marking.again(parcel));
    return false;
  };
  const startIfFree = (row: number, start: () => Promise<Done>): void => {
    if (isFree(row)) void after(row, start);
  };
  const mayMark = (row: number): boolean => {
    if (work.crew !== null) return isFree(row);
    bar.tell(ROWS.pickCrewFirst);
    return false;
  };

  for (const row of shape.rows) {
    const strip = rowStrip(row, longest, {
      whole: () => {
        if (mayMark(row.n)) bar.whole(row);
      },
      part: (last) => {
        if (!mayMark(row.n)) return strip.preview(null);
        bar.part(row, last);
        strip.box.style.scrollMarginBottom = `${bar.box.offsetHeight + 8}px`;
        strip.box.scrollIntoView({ block: "nearest" });
      },
    });
    strip.update(runsOf(row.n));
    strips.set(row.n, strip);
  }
  /** Show the row of the address; an overlap is settled in the list above the rows, so then that is shown. */
  const showBegin = (): void => {
    const row = context.place.row;
    if (row === undefined || runsOf(row).some((run) => run[3] === 2)) return;
    strips.get(row)?.box.scrollIntoView({ block: "center" });
  };
  /** The first lists may push the rows down: they take no tap until that was seen. */
  const begin = (drawMarks: () => void): void => {
    const before = list.offsetTop;
    drawMarks();
    if (list.offsetTop === before) return;
    showBegin();
    if (!card?.isConnected) settle(under);
  };
  const toFirst = (): void =>
    [...strips.values()].find((strip) => !strip.isDone())?.box.scrollIntoView({ block: "center" });
  const list = h("ol", { class: "row-list plain-list" }, ...[...strips.values()].map((strip) => strip.box));
  const under = h(
    "div",
    {},
    shape.rows.length === 0
      ? emptyState(ROWS.noRows)
      : h(
          "div",
          { class: "above-rows" },
          h("div", {}, h("p", { class: "how-to" }, ROWS.howTo), stripKey(state.runs)),
          h("button", { type: "button", on: { click: toFirst } }, ROWS.firstLeft),
        ),
    list,
  );
  // the cautions are for those who prune; who only looks has not read them for the crew
  const card = work.crew === null || context.device.cautionedOn(block.id, farm.today)
    ? null
    : cautions(() => {
        settle(under);
        root.querySelector("h1")?.focus({ preventScroll: true });
      });
  if (card === null) settle(under);
  else under.inert = true;
  fill(root, head.box, said.box, marks.overlaps, h("div", { class: "rows-sheet" }, under, card), marks.box, bar.box);
  document.title = `${block.code} · ${dayText(farm.today)} · ${ROWS.title}`;
  drawFates([...strips.keys()]);
  showBegin();
  void read();
  return {
    cursor: () => state.cursor,
    newer(records) {
      if (records === 0 || !bar.isChoosing()) void read();
    },
    leave() {
      left = true;
    },
  };
}
