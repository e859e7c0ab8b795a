/** What waits for the manager, each with what to do. */

import type { BlockSummary, Figures } from "../../core/contracts";
import { dayText } from "../../core/numbers";
import type { Place } from "../../core/place";
import { OVERVIEW } from "../../core/overview-wording";
import { SCREEN_WORD } from "../../core/wording";
import { fill, h } from "../../ui/dom";
import type { Context } from "../context";
import { todayNeeds, TODAY_WHAT } from "./today-needs";
import { weatherNeeds } from "./weather-needs";

/** So many rows of a block get a button of their own. */
const ROWS_NAMED = 4;

export interface Way {
  text: string;
  to: Place;
}
/** What of the farm is looked at. */
export interface Looked {
  day: string;
  figures: Figures;
  blocks: readonly BlockSummary[];
  /** The crew that alone is looked at. */
  crew: string | null;
  isWhole: boolean;
}

/** Tell whether something is of what is looked at. What has no crew is everybody's. */
export function isOf({ blocks, crew, isWhole }: Looked, block: string | null, of: string | null): boolean {
  if (isWhole) return true;
  return (block === null || blocks.some(({ id }) => id === block)) && (crew === null || of === null || of === crew);
}

function ways(found: readonly Way[], context: Context): HTMLElement {
  const buttons = found.map(({ text, to }) => h("button", { type: "button", on: { click: () => context.go(to) } }, text));
  return h("div", { class: "needs-blocks" }, ...buttons);
}

function overlapWays({ blocks }: Looked): Way[] {
  return blocks
    .filter((block) => block.overlap > 0)
    .flatMap(({ id, code, overlap_rows: rows }) => {
      const to = (row?: number): Place => ({ screen: "rows", block: id, ...(row === undefined ? {} : { row }) });
      if (rows.length === 0 || rows.length > ROWS_NAMED) return [{ text: code, to: to(rows[0]) }];
      return rows.map((row) => ({ text: OVERVIEW.overlapRow(code, row), to: to(row) }));
    });
}

/** Return a way to the settling screen, and where that helps the blocks that it is about. */
function settleWay(context: Context, more: readonly Way[]): HTMLElement {
  const box = ways(more, context);
  const settle = (): void => context.go({ screen: "settling", block: null });
  box.prepend(h("button", { type: "button", class: "main", on: { click: settle } }, OVERVIEW.toSettle));
  return box;
}

function asideWays({ blocks }: Looked): Way[] {
  return blocks
    .filter((block) => block.set_aside > 0)
    .map(({ id, code, set_aside }) => ({ text: OVERVIEW.blockAside(code, set_aside), to: { screen: "rows", block: id } }));
}

export interface Needs {
  box: HTMLElement;
  /** When all of it was looked at. */
  whole: Promise<void>;
}

/** Return the list, or the sentence that nothing waits. */
export function needsYou(overview: Looked, context: Context): Needs {
  const { figures } = overview;
  const lines: HTMLElement[] = [];
  const line = (text: string, where: HTMLElement): unknown => lines.push(h("li", {}, text, where));
  if (figures.overlap_trees > 0) {
    line(OVERVIEW.overlap(figures.overlap_trees), settleWay(context, overlapWays(overview)));
  }
  if (figures.set_aside > 0) line(OVERVIEW.setAside(figures.set_aside), settleWay(context, asideWays(overview)));
  const list = h("ul", { class: "plain-list needs-list" }, ...lines);
  // the list says that more is coming: whoever has ten seconds must not take it for whole
  const coming = h("p", { role: "status" }, OVERVIEW.stillLooking);
  // of a day that is over it tells how things stood: it asks for nothing any more
  const title = overview.day === context.farm.today ? OVERVIEW.needsYou : OVERVIEW.neededYou(dayText(overview.day));
  const whole = comeBy(list, [todayLines(overview, context), qualityLines(overview, context), weatherLines(overview, context)]).then(() =>
    fill(coming, list.childElementCount === 0 ? OVERVIEW.nothingToSettle : ""),
  );
  return { box: h("section", { class: "needs-you" }, h("h2", {}, title), list, coming), whole };
}

/** Add what is fetched, in this order and always at the end: what stands there already never moves under a finger. */
async function comeBy(list: HTMLElement, coming: readonly Promise<HTMLElement[]>[]): Promise<void> {
  for (const lines of coming) list.append(...(await lines));
}

function notLooked(screen: "quality" | "timing" | "plan", context: Context, words = SCREEN_WORD[screen]): HTMLElement {
  return h("li", {}, OVERVIEW.notLooked(words), ways([{ text: SCREEN_WORD[screen], to: { screen, block: null } }], context));
}

async function todayLines(overview: Looked, context: Context): Promise<HTMLElement[]> {
  if (overview.day !== context.farm.today) return []; // a day that is over asks for nothing any more
  try {
    return (await todayNeeds(overview, context)).map(({ text, to }) => h("li", {}, text, ways(to, context)));
  } catch {
    return [notLooked("plan", context, TODAY_WHAT)];
  }
}

async function qualityLines(overview: Looked, context: Context): Promise<HTMLElement[]> {
  try {
    const found = await (await import("./quality-needs")).qualityNeeds(overview, context);
    return found.map(({ text, to }) => h("li", {}, text, ways(to, context)));
  } catch {
    return [notLooked("quality", context)];
  }
}

async function weatherLines(overview: Looked, context: Context): Promise<HTMLElement[]> {
  try {
    return await weatherNeeds(overview, context);
  } catch {
    return [notLooked("timing", context)];
  }
}
