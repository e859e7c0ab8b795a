/** What waits for the manager, each with what to do. */

import type { BlockSummary, Figures } from "../../core/contracts";
import { isWhole, type Chosen, type Glance } from "../../core/glance";
import { dayText } from "../../core/numbers";
import type { Place } from "../../core/place";
import { OVERVIEW } from "../../core/overview-wording";
import { SCREEN_WORD } from "../../core/wording";
import { fill, h } from "../../ui/dom";
import type { Context } from "../context";
import type { Need } from "./quality-needs";
import { seasonNeeds } from "./season-needs";
import { blockMatters, crewMatters } from "./settling-needs";
import { todayNeeds, TODAY_WHAT } from "./today-needs";
import { weatherNeeds } from "./weather-needs";

export interface Way {
  text: string;
  to: Place;
  /** The first thing to do. */
  isMain?: boolean;
}
/** What of the farm is looked at. */
export interface Looked {
  day: string;
  figures: Figures;
  blocks: readonly BlockSummary[];
  /** The crew that alone is looked at. */
  crew: string | null;
  isWhole: boolean;
  /** Of the whole farm, whatever is chosen. */
  everyBlock: readonly BlockSummary[];
  /** Ids of the blocks of the chosen variety; null where none is chosen. */
  ofVariety: ReadonlySet<string> | null;
}

/** Return what is looked at for what waits. */
export function lookedAt(glance: Glance, chosen: Chosen, everyBlock: readonly BlockSummary[]): Looked {
  const { crew, variety } = chosen;
  const ofVariety = variety === null ? null : new Set(everyBlock.filter((block) => block.variety === variety).map(({ id }) => id));
  return { ...glance, crew, isWhole: isWhole(chosen), everyBlock, ofVariety };
}

/** Tell whether something is of what is looked at. What has no crew is everybody's. */
export function isOf({ blocks, crew, isWhole }: Looked, block: string | null, of: string | null): boolean {
  if (isWhole) return true;
  return (block === null || blocks.some(({ id }) => id === block)) && (crew === null || of === null || of === crew);
}

function ways(found: readonly Way[], context: Context): HTMLElement {
  const buttons = found.map(({ text, to, isMain }) => h("button", { type: "button", ...(isMain && { class: "main" }), on: { click: () => context.go(to) } }, text));
  return h("div", { class: "needs-blocks" }, ...buttons);
}

export interface Needs {
  box: HTMLElement;
  /** When all of it was looked at. */
  whole: Promise<void>;
}

/** Return the list, or the sentence that nothing waits. */
export function needsYou(overview: Looked, context: Context): Needs {
  // of a day that is over it tells how things stood: it asks for nothing any more
  const title = overview.day === context.farm.today ? OVERVIEW.needsYou : OVERVIEW.neededYou(dayText(overview.day));
  const boxOf = (...parts: HTMLElement[]): HTMLElement => h("section", { class: "needs-you" }, h("h2", {}, title), ...parts);
  if (overview.blocks.length === 0) return { box: boxOf(h("p", { role: "status" }, OVERVIEW.nothingChosen)), whole: Promise.resolve() };
  const line = ({ text, to }: Need): HTMLElement => h("li", {}, text, to.length === 0 ? null : ways(to, context));
  const atOnce = [...seasonNeeds(overview, context.farm), ...(overview.crew === null ? blockMatters(overview) : [])];
  const list = h("ul", { class: "plain-list needs-list" }, ...atOnce.map(line));
  // the list says that more is coming: whoever has ten seconds must not take it for whole
  const coming = h("p", { role: "status" }, OVERVIEW.stillLooking);
  const fetched = async (of: () => Promise<readonly Need[]>, silent: () => HTMLElement): Promise<HTMLElement[]> => {
    try {
      return (await of()).map(line);
    } catch {
      return [silent()];
    }
  };
  const parts = [
    overview.crew === null ? Promise.resolve([]) : fetched(() => crewMatters(overview, context), () => notLooked("settling", context)),
    // a day that is over asks for nothing any more
    overview.day !== context.farm.today ? Promise.resolve([]) : fetched(() => todayNeeds(overview, context), () => notLooked("plan", context, TODAY_WHAT)),
    fetched(async () => (await import("./quality-needs")).qualityNeeds(overview, context), () => notLooked("quality", context)),
    weatherNeeds(overview, context).catch(() => [notLooked("timing", context)]),
  ];
  const whole = comeBy(list, parts).then(() => fill(coming, list.childElementCount === 0 ? OVERVIEW.nothingToSettle : ""));
  return { box: boxOf(list, coming), whole };
}

/** Add what is fetched, in this order and always at the end: what stands there already never moves under a finger. */
async function comeBy(list: HTMLElement, coming: readonly Promise<HTMLElement[]>[]): Promise<void> {
  for (const lines of coming) list.append(...(await lines));
}

function notLooked(screen: "quality" | "timing" | "plan" | "settling", context: Context, words = SCREEN_WORD[screen]): HTMLElement {
  return h("li", {}, OVERVIEW.notLooked(words), ways([{ text: SCREEN_WORD[screen], to: { screen, block: null } }], context));
}
