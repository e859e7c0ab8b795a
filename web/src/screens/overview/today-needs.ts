/** What the day itself asks of a manager: crews that nothing was heard from, blocks that close or open. */

import { TODAY } from "../../core/glance-wording";
import { dayText, momentText } from "../../core/numbers";
import { glanceApi } from "../../data/glance-api";
import type { Context } from "../context";
import { isOf, type Looked } from "./needs-you";
import type { Need } from "./quality-needs";

/** How the list names this part of itself where no answer came. */
export const TODAY_WHAT = TODAY.what;

/** Return what waits, what was not heard of first. */
export async function todayNeeds(overview: Looked, { farm, request }: Context): Promise<Need[]> {
  const { silent, closures, unbriefed = [] } = await glanceApi(request, farm.id).needsToday();
  const name = (id: string): string => farm.crews.find((crew) => crew.id === id)?.name ?? id.slice(0, 8);
  const code = (id: string): string => overview.blocks.find((block) => block.id === id)?.code ?? "";
  const quiet = silent
    .filter(({ crew_id }) => isOf(overview, null, crew_id))
    .map(({ crew_id, last_day, blocks }): Need => {
      const [next] = blocks.filter((id) => code(id) !== "");
      const rows = next === undefined ? [] : [{ text: code(next), to: { screen: "rows", block: next } as const }];
      return { text: TODAY.silent(name(crew_id), dayText(last_day)), to: [{ text: TODAY.away, to: { screen: "forecast", block: null, crew: crew_id } }, ...rows] };
    });
  const turning = closures
    .filter(({ block_id }) => isOf(overview, block_id, null))
    .map(({ block_id, block_code, turn, at, reason }): Need => ({
      text: TODAY[turn](block_code, momentText(at, farm.time_zone), reason),
      to: [{ text: TODAY.toPlan(block_code), to: { screen: "plan", block: block_id } }],
    }));
  const bare = unbriefed.filter(({ block_id }) => isOf(overview, block_id, null));
  const ways = bare.map(({ block_id, block_code, variety_id }) => ({
    text: TODAY.briefFor(block_code),
    to: { screen: "briefs", block: block_id, ...(variety_id !== null && { variety: variety_id }) } as const,
  }));
  return [...quiet, ...(bare.length === 0 ? [] : [{ text: TODAY.unbriefed(bare.length), to: ways }]), ...turning];
}
