/** The service's routes of the overview beside the overview itself. */

import type { BurnUpPart } from "../core/forecast-contracts";
import type { PrunedNow } from "../core/glance";
import type { NeedsToday } from "../core/needs-contracts";
import type { Cost } from "../core/pay-contracts";
import type { SeasonDays } from "../core/season-days";
import type { Request } from "./request";

const RECKONING_LIMIT_MS = 60_000;

export type GlanceApi = ReturnType<typeof glanceApi>;

/** Return the routes of a farm over a request function. */
export function glanceApi(request: Request, farm: string) {
  const at = (what: string, query: Record<string, string | null> = {}): string => {
    const asked = new URLSearchParams(Object.entries(query).flatMap(([name, value]) => (value === null ? [] : [[name, value]])));
    return `/farms/${encodeURIComponent(farm)}/${what}${asked.size > 0 ? `?${asked.toString()}` : ""}`;
  };
  return {
    /** Of today's season, or of one that is named. */
    seasonDays: (season: string | null = null) => request<SeasonDays>(at("season-days", { season })),
    /** Of a variety's blocks, of those that a crew was given. */
    partForecast: (day: string, crew: string | null, variety: string | null) =>
      request<BurnUpPart>(at("part-forecast", { day, crew, variety }), { timeLimitMs: RECKONING_LIMIT_MS }),
    /** What goes on with each mark, of today or of a day that is over; cheap, for every open page asks after every mark. */
    prunedNow: (day: string) => request<PrunedNow>(at("pruned-now", { day })),
    needsToday: () => request<NeedsToday>(at("needs-today")),
    cost: () => request<Cost>(at("pay-cost"), { timeLimitMs: RECKONING_LIMIT_MS }),
  };
}
