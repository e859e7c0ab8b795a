/** What the service knows of a crew's day: the entries of people and hours, and the blocks that the crew worked in. */

import type { KeptCrewDay } from "../core/knock-off";
import type { Request } from "./request";

export interface CrewDayHeard {
  /** Those that do not stand are left out. */
  entries: KeptCrewDay[];
  /** Ids of the blocks in which the crew marked rows on that day. */
  blocks: string[];
}

/** Whoever stands at the end of the day with a tablet does not wait long: what is on the device serves. */
const PATIENCE_MS = 4_000;

/** Return what the service says of a crew's day. */
export async function crewDay(request: Request, farmId: string, day: string, crewId: string): Promise<CrewDayHeard> {
  const one = encodeURIComponent;
  const path = `/farms/${one(farmId)}/crew-days?day=${one(day)}&crew=${one(crewId)}`;
  const answer = await request<{ crew_days: (KeptCrewDay & { set_aside: string | null })[]; blocks: string[] }>(path, {
    timeLimitMs: PATIENCE_MS,
  });
  const { crew_days, blocks } = answer;
  return { entries: crew_days.filter(({ set_aside }) => set_aside === null), blocks };
}
