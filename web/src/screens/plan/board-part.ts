/** The board: a lane for each crew, its blocks as bars in their order over the weeks, and a tray of what nobody has. */

import { levelled, levelsOf, type PlacedBar } from "../../core/plan-levels";
import { boardWidth, lastDay, onBoard, spanStanding, weeksOf, workingDays, type Span } from "../../core/plan-queues";
import { PLAN } from "../../core/plan-wording";
import { h } from "../../ui/dom";
import { codeOf, crewName, daysOf, elsewhere, shift, shiftCrew, spansHere, type PlanDesk } from "./desk";
import { draggable } from "./drag";

const [LEAST_PX, MOST_PX, TOUCH_PX] = [14, 60, 44];
const LEVEL_PX = 56;
/** As plan.css has them. */
const [CREW_REM, NARROW] = [12, "(max-width: 62rem)"];
/** More levels than these are no lanes any more: such a board begins day by day. */
const MOST_LEVELS = 5;

/** The whole season as wide as the page is, or each block as long as a touch needs. */
export type Scale = "whole" | "day";

/** Return how wide a lane is that fits into a page. */
function fitting_px(page_px: number): number {
  const rem_px = parseFloat(getComputedStyle(document.documentElement).fontSize);
  // below 20rem the board scrolls
  return Math.max(20 * rem_px, page_px - (matchMedia(NARROW).matches ? 0 : CREW_REM * rem_px));
}

/** Tell whether a board of the whole season can be read on a page so wide. */
export function fitsWhole(desk: PlanDesk, page_px: number): boolean {
  const lanes = desk.plan.queues.map(({ crew_id }) => spansHere(desk, crew_id));
  const width = boardWidth(desk.board, lanes.flat());
  const least = (TOUCH_PX * width) / fitting_px(page_px);
  return lanes.every((spans) => levelsOf(levelled(spans, width, least)) <= MOST_LEVELS);
}

/** Return how wide a day is at least: so that the shortest block can be touched, within reason. */
function perDay_px(spans: readonly Span[]): number {
  const shortest = Math.min(...spans.map(({ from, to }) => to - from).filter((days) => days > 0));
  return Math.min(MOST_PX, Math.max(LEAST_PX, TOUCH_PX / shortest));
}

/** Put an element on a lane that is `width` working days wide. */
function at(element: HTMLElement, { from, to }: { from: number; to: number }, width: number): HTMLElement {
  const here = onBoard({ from, to }, width);
  element.style.left = `${(100 * here.from) / width}%`;
  element.style.width = `${(100 * (here.to - here.from)) / width}%`;
  return element;
}

function onKey(event: KeyboardEvent, desk: PlanDesk, block: string): void {
  const step: Record<string, () => void> = {
    ArrowLeft: () => shift(desk, block, -1),
    ArrowRight: () => shift(desk, block, 1),
    ArrowUp: () => shiftCrew(desk, block, -1),
    ArrowDown: () => shiftCrew(desk, block, 1),
  };
  const run = step[event.key];
  if (run === undefined || event.altKey || event.ctrlKey || event.metaKey) return;
  event.preventDefault();
  run();
}

/** Return the button of a block, wherever it stands. */
function blockButton(desk: PlanDesk, block: string, label: string, more: string[], ...content: (HTMLElement | string)[]): HTMLElement {
  const isPicked = desk.picked === block;
  const button = h(
    "button",
    {
      type: "button",
      class: ["plan-block", ...more].join(" "),
      "data-block": block,
      "aria-pressed": String(isPicked),
      on: { click: () => desk.pick(isPicked ? null : block), keydown: (event: KeyboardEvent) => onKey(event, desk, block) },
    },
    h("span", { class: "unseen" }, label),
    ...content,
  );
  draggable(button, block, desk);
  return button;
}

/** Return the button of a block on its lane. */
function bar(desk: PlanDesk, crewId: string, span: Span): HTMLElement {
  const { board } = desk;
  const block = board.blocks[span.block];
  const standing = PLAN.standing[spanStanding(board, span)];
  const marks = [standing, elsewhere(desk, span.block) ?? ""].filter((mark) => mark !== "").map((mark) => `, ${mark}`).join("");
  const code = codeOf(desk, span.block);
  const label = PLAN.bar(code, crewName(desk, crewId), daysOf(desk, span), marks);
  const classes = [spanStanding(board, span), block?.worked === null ? "" : "begun"].filter((name) => name !== "");
  return blockButton(desk, span.block, label, classes, h("strong", { "aria-hidden": "true" }, code), standing === "" ? "" : h("span", { "aria-hidden": "true" }, standing));
}

/** Return a bar as far behind the one before as the crew waits: one too short to be touched pushes the next ones on. */
function inLine(button: HTMLElement, span: Span, { free, width }: { free: number; width: number }): HTMLElement {
  const item = h("li", { class: "plan-bar" }, button);
  const here = onBoard(span, width);
  item.style.width = `${(100 * (here.to - here.from)) / width}%`;
  item.style.marginLeft = `${(100 * (here.from - Math.min(free, width))) / width}%`;
  return item;
}

/** Return a bar at its place on a board of the whole season; over one that is drawn wider than its time a line tells that. */
function onLevel(button: HTMLElement, { from, to, level, share }: PlacedBar, width: number): HTMLElement {
  const item = h("li", { class: "plan-bar" }, button);
  item.style.left = `${(100 * from) / width}%`;
  item.style.width = `${(100 * (to - from)) / width}%`;
  item.style.top = `${level * LEVEL_PX}px`;
  if (share < 1 - 1e-9) {
    const time = h("span", { class: "plan-time", "aria-hidden": "true" });
    time.style.width = `${100 * share}%`;
    item.classList.add("short");
    item.append(time);
  }
  return item;
}

/** Return the bars of a lane. */
function bars(desk: PlanDesk, crewId: string, spans: readonly Span[], { width, least }: Board): HTMLElement {
  const label = { "aria-label": crewName(desk, crewId) };
  const buttons = spans.map((span) => bar(desk, crewId, span));
  if (least === null) {
    const line = spans.map((span, n) => inLine(buttons[n] as HTMLElement, span, { free: spans[n - 1]?.to ?? 0, width }));
    return h("ol", { class: "plan-bars plain-list", ...label }, ...line);
  }
  const places = levelled(spans, width, least);
  const list = h("ol", { class: "plan-bars whole plain-list", ...label }, ...places.map((place, n) => onLevel(buttons[n] as HTMLElement, place, width)));
  list.style.height = `${levelsOf(places) * LEVEL_PX}px`;
  return list;
}

/** Return marks of a lane: weeks, the day by which all must be done, and of each block its own day and when it is closed. */
function laneMarks(desk: PlanDesk, spans: readonly Span[], width: number): HTMLElement[] {
  const { board } = desk;
  const line = (name: string, day: number): HTMLElement => at(h("span", { class: name }), { from: day, to: day }, width);
  const weeks = weeksOf(board.days.slice(0, width)).map((week) => line("plan-week", week.at));
  const evening = (day: string): number => workingDays(board.days, day, day).to;
  const must = line("plan-must", Math.min(width, evening(board.must_finish_on)));
  const own = spans.flatMap(({ block }) => board.blocks[block]?.own_must_finish_on ?? []).map((day) => line("plan-own-day", Math.min(width, evening(day))));
  const closed = spans.flatMap(({ block }) =>
    (board.blocks[block]?.closed ?? [])
      .map(([first, last]) => workingDays(board.days, first, last))
      .filter(({ from, to }) => to > from && from < width)
      .map((shut) => at(h("span", { class: "plan-closed" }, h("span", {}, codeOf(desk, block))), shut, width)),
  );
  return [...weeks, must, ...own, ...closed];
}

/** How wide a board is in working days, and how wide the narrowest bar of a whole season; null where bars stand in a line. */
interface Board {
  width: number;
  least: number | null;
}

function crewRow(desk: PlanDesk, crewId: string, on: Board): HTMLElement[] {
  const spans = spansHere(desk, crewId);
  const { people = 0, people_known: isKnown = true } = desk.board.crews.find(({ crew_id }) => crew_id === crewId) ?? {};
  const last = spans.at(-1);
  const name = crewName(desk, crewId);
  const about = PLAN.crew(people, isKnown, spans.length, last === undefined ? null : lastDay(desk.board.days, last));
  const lane = h(
    "div",
    { class: "plan-lane", "data-lane": crewId },
    h("div", { class: "plan-marks", "aria-hidden": "true" }, ...laneMarks(desk, spans, on.width)),
    bars(desk, crewId, spans, on),
  );
  return [h("div", { class: "plan-crew" }, h("h2", {}, name), h("p", {}, about)), lane];
}

/** Return the row of weeks above the lanes; a label that would run into the next is left out. */
function weekRow({ board }: PlanDesk, width: number): HTMLElement {
  const gap = Math.max(4, Math.ceil(width / 8));
  const told: { at: number; day: string }[] = [];
  for (const week of weeksOf(board.days.slice(0, width))) {
    const last = told.at(-1);
    if ((last === undefined || week.at - last.at >= gap) && (last === undefined || width - week.at >= gap)) told.push(week);
  }
  const labels = told.map((week, n) => at(h("span", { class: "plan-week-label" }, PLAN.week(week.day)), { from: week.at, to: told[n + 1]?.at ?? width }, width));
  return h("div", { class: "plan-weeks" }, ...labels);
}

/** Return the tray of what is given to nobody. */
export function tray(desk: PlanDesk): HTMLElement {
  const { open } = desk.plan;
  const chip = (block: string): HTMLElement => {
    const { left = 0 } = desk.board.blocks[block] ?? {};
    const code = codeOf(desk, block);
    const about = elsewhere(desk, block);
    const label = [code, PLAN.nobody, PLAN.left(left), about ?? ""].filter((part) => part !== "").join(", ");
    return h("li", {}, blockButton(desk, block, label, [], h("strong", { "aria-hidden": "true" }, code), h("span", { "aria-hidden": "true" }, PLAN.left(left))));
  };
  return h(
    "section",
    { class: "plan-tray" },
    h("h2", {}, PLAN.tray),
    h("p", {}, open.length === 0 ? PLAN.trayEmpty : PLAN.trayNote),
    h("ul", { class: "plan-chips plain-list", "data-lane": "" }, ...open.map(chip)),
  );
}

function key(hasShort: boolean): HTMLElement {
  const line = (name: string, words: string): HTMLElement => h("li", {}, h("span", { class: `plan-key ${name}`, "aria-hidden": "true" }), words);
  return h(
    "ul",
    { class: "plan-keys plain-list" },
    line("bar", PLAN.keyBar),
    ...(hasShort ? [line("time", PLAN.keyTime)] : []),
    line("may_be_late", PLAN.keyMayBeLate),
    line("late", PLAN.keyLate),
    line("begun", PLAN.keyBegun),
    line("must", PLAN.keyMust),
    line("own-day", PLAN.keyOwn),
    line("closed", PLAN.keyClosed),
  );
}

/** Return the board, as it fits into a page so wide. */
export function boardPart(desk: PlanDesk, scale: Scale, page_px: number): HTMLElement {
  const { board, plan } = desk;
  const spans = plan.queues.flatMap(({ crew_id }) => spansHere(desk, crew_id));
  const width = boardWidth(board, spans);
  const lanes = h("div", { class: "plan-board" }, h("div", { class: "plan-corner" }, PLAN.must(board.must_finish_on)), weekRow(desk, width));
  const lane_px = scale === "whole" ? 0 : width * perDay_px(spans);
  const least = scale === "whole" ? (TOUCH_PX * width) / fitting_px(page_px) : null;
  lanes.style.setProperty("--lane", `${lane_px}px`);
  lanes.append(...plan.queues.flatMap(({ crew_id }) => crewRow(desk, crew_id, { width, least })));
  const wider = lane_px > fitting_px(page_px) ? h("p", { class: "plan-hint plan-wider" }, PLAN.wider) : null;
  return h("div", {}, h("p", { class: "plan-hint" }, PLAN.pick), wider, h("section", { class: "plan-scroll", "aria-label": PLAN.board, tabindex: "0" }, lanes), key(lanes.querySelector(".plan-time") !== null), tray(desk));
}
