/** The rows of one block as strips in walking order, the bar that marks and undoes, and what was marked today. */

import { againParts, treesOfParts, type AgainPart } from "../../core/again";
import { asideMarks, lastActions, type StandingMark } from "../../core/block-marks";
import type { BlockLog, BlockShape, BlockSummary, Crew, ShapeRow } from "../../core/contracts";
import { stillClaimed, stretchesLeft, treesIn } from "../../core/coverage";
import { dayText } from "../../core/numbers";
import { AGAIN } from "../../core/returns-wording";
import { noSuchRow, ROWS } from "../../core/rows-wording";
import { usualWalk, walkFrom } from "../../core/walking";
import { SHELL } from "../../core/wording";
import { sentence } from "../../data/request";
import type { Parcel } from "../../data/sending";
import { fill, h } from "../../ui/dom";
import { keepInPlace } from "../../ui/keep-in-place";
import { emptyState, notice } from "../../ui/notice";
import { settle } from "../../ui/settling";
import type { BlockBrief } from "../brief/block-brief";
import type { Context, Shown } from "../context";
import type { AgainList } from "./again-list";
import { actionBar } from "./action-bar";
import { blockBook } from "./block-book";
import { marksList } from "./marks-list";
import { markingOf, type Done, type Part } from "./marking";
import { rowList } from "./row-list";
import { rowStrip, type RowAgain, type RowStrip } from "./row-strip";
import { rowsHead } from "./rows-head";
import { rowsTools } from "./rows-tools";
import { stripKey } from "./strip-key";
import "./action-bar.css";
import "./rows.css";

/** So much of what must be read is in sight at first. */
const LEAST_SEEN_PX = 250;

export interface Work {
  /** Null for somebody who only looks: a manager who settles an overlap has no crew. */
  crew: Crew | null;
  seasonId: string;
  blocks: readonly BlockSummary[];
  pickCrew(): void;
  otherBlock(): void;
  /** Its rows are others by now: show it anew. */
  changed(): void;
  /** What is to be said first. */
  told?: string;
}
/** A block as its rows are shown: its immutable shape, the log that stands so far, and the brief that holds. */
export interface BlockRows {
  block: BlockSummary;
  shape: BlockShape;
  log: BlockLog;
  brief: BlockBrief;
}

/** Show the rows of a block in `root`. */
export function showBlockRows(root: HTMLElement, context: Context, reading: BlockRows, work: Work): Shown {
  const { block, shape, brief } = reading;
  const { farm, sending, tablet } = context;
  const crewId = work.crew?.id ?? null;
  const longest = Math.max(1, ...shape.rows.map(({ p }) => p));
  const book = blockBook(context, shape, reading.log);
  const strips = new Map<number, RowStrip>();
  /** Rows with a record on its way to the disk; a further tap would mark them twice. */
  const busy = new Set<number>();
  const told = new Set(asideMarks(sending.entries(), block.id).map(({ id }) => id));
  const said = notice();
  /** What came since the brief was read: it stays in sight, whatever is marked, until somebody looks. */
  const news = notice();
  let left = false;
  let isReturnsAsked = false;

  const head = rowsHead(reading, context, work, () => drawMarks());
  const trees = (n: number, stretch: { first: number; last: number }): number => {
    const row = book.rowOf(n);
    return row === undefined ? 0 : treesIn(row, stretch);
  };
  const marking = markingOf(context, work, { block: block.id, ground: shape.ground, trees }, head.entered);
  const marks = marksList(context, block.id, book, work.crew, {
    takeBack: (mark) => takeBack(block.id, [mark]),
    see: (row) => list.see(row),
  });
  const otherCrews = (row: ShapeRow): string[] => {
    const names = new Map(farm.crews.map(({ id, name }) => [id, name]));
    const others = book.standing().filter((mark) => mark.row === row.n && mark.crewId !== crewId);
    return [...new Set(others.map((mark) => names.get(mark.crewId) ?? ""))].filter((name) => name !== "");
  };
  const mark = (parts: readonly Part[]): void => {
    if (work.crew === null) return bar.say(ROWS.pickCrewFirst);
    const free = parts.filter(({ row }) => isFree(row));
    if (free.length > 0) void after(free.map(({ row }) => row), () => marking.mark(free));
  };
  const takeBack = (of: string, claims: readonly StandingMark[]): void => {
    const rows = of === block.id ? claims.map(({ row }) => row) : [];
    if (rows.every(isFree)) void after(rows, () => marking.takeBack(of, claims));
  };
  const unsaved = (row: number): Parcel | undefined =>
    sending.waitingFor(block.id).find(({ subject, records }) =>
      records.kind === "marks" ? records.values.some((one) => one.row === row) : records.kind === "withdrawals" && subject.row === row,
    );

  /** What of a row returns ask for, one part a return. */
  const againOf = (row: ShapeRow): AgainPart[] => againParts(book.waitingReturns(), row);
  const againIn = (row: ShapeRow): RowAgain => {
    const parts = againOf(row);
    const crews = new Set(parts.map((part) => part.crewId).filter((id) => id !== crewId));
    return { trees: treesOfParts(parts, row), crews: farm.crews.filter(({ id }) => crews.has(id)).map(({ name }) => name) };
  };
  const key = h("div", {});
  const drawKey = (): void => fill(key, stripKey(book.runs(), shape.rows));
  const againBox = h("div", {});
  let returnsShown: AgainList | null = null;
  const drawReturns = (): void => {
    if (returnsShown !== null) return keepInPlace(list.box, () => returnsShown?.draw(book.waitingReturns()));
    if (book.waitingReturns().length === 0 || isReturnsAsked) return;
    isReturnsAsked = true;
    void import("./again-list")
      .then(({ againList }) => againList(againBox, context, { block: block.id, rows: shape.rows, crewId }))
      .then((shown) => {
        returnsShown = shown;
        if (!left) drawReturns();
      })
      // the rows say by themselves what is to be gone over; asked for again with the next drawing
      .catch(() => (isReturnsAsked = false));
  };
  const drawMarks = (): void => marks.draw(head.entered().day);
  const drawFates = (): void => {
    const waiting = book.waiting();
    let unsafe = false;
    for (const [row, strip] of strips) {
      const lost = !busy.has(row) && unsaved(row) !== undefined;
      unsafe ||= lost;
      strip.setFate(busy.has(row) ? "saving" : lost ? "not-saved" : waiting.has(row) ? "waiting" : "");
    }
    bar.offer(crewId === null ? [] : lastActions(sending.entries(), crewId, farm.today, farm.time_zone), unsafe);
  };
  /** Draw what is known here now; nothing is asked. */
  const draw = (): void => {
    if (left) return;
    book.fold();
    drawKey();
    for (const row of shape.rows) strips.get(row.n)?.update(book.runsOf(row.n), againIn(row));
    drawReturns();
    drawFates();
    keepInPlace(list.box, drawMarks);
    sayAside();
  };
  /** Say what the service set aside since: it came later than the touch. */
  const sayAside = (): void => {
    for (const { id, row, reason } of asideMarks(sending.entries(), block.id)) {
      if (told.has(id)) continue;
      told.add(id);
      bar.say(ROWS.setAside(row, reason), "bad");
    }
  };
  const read = async (): Promise<void> => {
    try {
      await book.read();
      if (left) return;
      if (book.isOtherShape()) return work.changed();
      draw();
      said.say("");
    } catch (error) {
      said.say(sentence(error, SHELL.noAnswer), "bad");
    }
  };
  const after = async (rows: readonly number[], start: () => Promise<Done>): Promise<void> => {
    rows.forEach((row) => busy.add(row));
    drawFates();
    try {
      const done = truly(await start());
      rows.forEach((row) => busy.delete(row));
      // drawn before it is said, so that "marked" never stands beside a row that still looks unpruned
      draw();
      if (left) return;
      bar.say(done.text, done.tone);
      bar.focusUndo();
    } finally {
      rows.forEach((row) => busy.delete(row));
      drawFates();
    }
  };
  /** "Taken back" alone is said only where the positions are free now. */
  const truly = (done: Done): Done => {
    book.fold();
    const [row, ...more] = done.rows;
    if (done.withdrawn.some(({ returnId }) => returnId !== undefined)) return { ...done, text: AGAIN.undone(row ?? 0) };
    if (done.withdrawn.length === 0 || row === undefined || more.length > 0) return done;
    const still = stillClaimed(book.runsOf(row), done.withdrawn);
    if (still.length === 0) return done;
    const parts = still.map(({ first, last }) => ROWS.part(first, last)).join(", ");
    return { ...done, text: ROWS.undoneButClaimed(row, parts), tone: "plain" };
  };
  /** Tell whether a tap may make a new record of the row; what of it is on this page only is tried again instead. */
  const isFree = (row: number): boolean => {
    if (busy.has(row)) return false;
    const parcel = unsaved(row);
    if (parcel === undefined) return true;
    if (parcel.fate.state === "not-sent") void after([row], () => marking.again(parcel));
    return false;
  };
  const mayMark = (row: number): boolean => {
    if (work.crew !== null) return isFree(row);
    bar.say(ROWS.pickCrewFirst);
    return false;
  };

  for (const row of shape.rows) {
    const strip = rowStrip(row, longest, {
      whole: () => {
        if (!mayMark(row.n)) return;
        // a tap means all that is left of the row
        const isPruned = stretchesLeft(row, book.runsOf(row.n), { first: 1, last: row.p }).length === 0;
        if (isPruned && againOf(row).length > 0) mark(againOf(row));
        else bar.whole(row);
      },
      again: () => {
        if (mayMark(row.n)) mark(againOf(row));
      },
      part: (position) => {
        if (!mayMark(row.n)) return strip.preview(null);
        bar.part(row, position, list.fromEnd(row.n));
        strip.box.style.scrollMarginBottom = `${bar.box.offsetHeight + 8}px`;
        strip.box.scrollIntoView({ block: "nearest" });
      },
    });
    strip.update(book.runsOf(row.n), againIn(row));
    strips.set(row.n, strip);
  }
  const walk = walkFrom(tablet.memory.walk(block.id), shape.rows) ?? usualWalk(shape.rows);
  const list = rowList(shape.rows, strips, walk);
  const sheet = h("div", { class: "rows-sheet" });
  const tools = rowsTools(context, { block, shape, work, book, list, walk }, { mark, brief: (close) => brief.over(sheet, close) });
  const bar = actionBar(book, tools, {
    mark,
    undo: (action) => takeBack(action.block, action.marks),
    tryAgain: () => void context.tryAgain(),
    preview: (row, stretch) => strips.forEach((strip, n) => strip.preview(n === row?.n ? stretch : null)),
    back: (row) => strips.get(row.n)?.focusEnd(),
    otherCrews,
    otherBlock: (id) => (id === block.id ? null : (work.blocks.find((one) => one.id === id)?.code ?? "?")),
  });
  const under = h(
    "div",
    {},
    shape.rows.length === 0
      ? emptyState(ROWS.noRows)
      : h(
          "div",
          { class: "above-rows" },
          h("div", {}, work.crew === null ? null : h("p", { class: "how-to" }, ROWS.howTo), key),
          h("button", { type: "button", on: { click: () => list.toNext() } }, ROWS.firstLeft),
        ),
    list.box,
  );
  // the brief is for those who prune; who only looks has not read it for the crew
  const isRead = work.crew === null || !brief.isDue(farm.today);
  // until then nothing marks or takes back; the head alone leads away
  const resting = [againBox, under, marks.overlaps, marks.box, bar.box];
  const card = isRead
    ? null
    : brief.due(farm.today, (words) => bar.say(words), () => {
        delete bar.box.dataset["resting"];
        resting.forEach((one) => settle(one));
        sayRow();
        root.querySelector("h1")?.focus({ preventScroll: true });
        // read to its end: back to where it began; else nothing moves
        if (sheet.getBoundingClientRect().top < 0) sheet.scrollIntoView({ block: "start" });
        seeRow();
      });
  const { row } = context.place;
  /** Say that the row of the address is none. */
  const sayRow = (): void => {
    if (row !== undefined && book.rowOf(row) === undefined) bar.say(noSuchRow(block.code, row, shape.rows), "bad");
    else bar.say("");
  };
  if (card === null) {
    settle(under);
    sayRow();
  } else {
    for (const one of resting) one.inert = true;
    bar.box.dataset["resting"] = "true";
  }
  fill(sheet, under, card);
  bar.box.prepend(news.box);
  fill(root, head.box, said.box, marks.overlaps, againBox, sheet, marks.box, bar.box);
  document.title = `${block.code} · ${dayText(farm.today)} · ${ROWS.title}`;
  list.foldFinished();
  drawKey();
  drawFates();
  drawMarks();
  drawReturns();
  const stops = [sending.listen(draw), brief.watch((words) => news.say(words, "bad"))];
  /** Show the row of the address; an overlap is settled in the list above the rows, so then that is shown. */
  const seeRow = (): void => {
    if (row !== undefined && !book.held().some((run) => run.row === row)) list.see(row);
  };
  if (work.told !== undefined) news.say(work.told, "bad");
  if (card === null) seeRow();
  // low and wide, the head leaves no room for what must be read: then that is where one begins
  else if (bar.box.getBoundingClientRect().top - sheet.getBoundingClientRect().top < LEAST_SEEN_PX) sheet.scrollIntoView({ block: "start" });
  return {
    cursor: () => book.cursor(),
    newer(records) {
      if (records === 0 || !bar.isChoosing()) void read();
    },
    leave() {
      left = true;
      stops.forEach((stop) => stop());
      bar.leave();
    },
  };
}
