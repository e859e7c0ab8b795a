/** What the weather asks of a manager today: the notices of timing that are high, in short words. */

import { language } from "../../core/language";
import { daysAfter, inLanguage, type Notice } from "../../core/timing";
import { WEATHER_NEEDS } from "../../core/weather-needs-wording";
import { timingApi } from "../../data/timing-api";
import { h } from "../../ui/dom";
import type { Context } from "../context";
import { isOf, type Looked } from "./needs-you";

/** So many blocks are named; the others are a number. */
const NAMED = 6;

function words({ title, days, blocks }: Notice, today: string): string {
  const codes = blocks.slice(0, NAMED).map(({ code }) => code).join(", ");
  const [first = ""] = days;
  const when = first === "" ? "" : WEATHER_NEEDS.day(first, daysAfter(first, today));
  return WEATHER_NEEDS.line(inLanguage(title, language()), when, codes, Math.max(0, blocks.length - NAMED));
}

/** Return what is to be known today of what is looked at: with its blocks alone, and not at all where it is of others only. */
export function noticesOf(notices: readonly Notice[], overview: Looked): Notice[] {
  const mine = ({ blocks }: Notice): Notice["blocks"] => blocks.filter(({ id }) => isOf(overview, id, null));
  return notices.filter((one) => one.asks_today && (one.blocks.length === 0 || mine(one).length > 0)).map((one) => ({ ...one, blocks: mine(one) }));
}

/** Return a line for each, with the way to all of it. */
export async function weatherNeeds(overview: Looked, context: Context): Promise<HTMLElement[]> {
  const { day } = overview;
  const { notices } = await timingApi(context.request).timing(context.farm.id, day);
  const go = (): void => context.go({ screen: "timing", block: null });
  return noticesOf(notices, overview).map((one) =>
    h(
      "li",
      {},
      words(one, day),
      h("div", { class: "needs-blocks" }, h("button", { type: "button", on: { click: go } }, WEATHER_NEEDS.see)),
    ),
  );
}
