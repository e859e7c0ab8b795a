/** The service's routes of the finish forecast, and of what it goes by. */

import type { Overview } from "../core/contracts";
import type { Case, Forecast, SeasonCalendar, Strength, ToldCrewDay, WhatIf } from "../core/forecast-contracts";
import type { Request } from "./request";

/** A thousand seasons are gone through for each case, some of them for every number of people. */
const RECKONING_LIMIT_MS = 60_000;

export type ForecastApi = ReturnType<typeof forecastApi>;

/** Return the routes over a request function. */
export function forecastApi(request: Request) {
  const at = (farm: string, what: string): string => `/farms/${encodeURIComponent(farm)}/${what}`;
  return {
    /** From the service alone: beside a forecast, what this device kept of the farm would be of another moment. */
    overview: (farm: string, day: string) => request<Overview>(at(farm, `overview?day=${encodeURIComponent(day)}`), { timeLimitMs: RECKONING_LIMIT_MS }),
    /** As of a day; without one of today. */
    forecast: (farm: string, day?: string) =>
      request<Forecast>(at(farm, day === undefined ? "forecast" : `forecast?day=${encodeURIComponent(day)}`), { timeLimitMs: RECKONING_LIMIT_MS }),
    whatIf: (farm: string, cases: readonly Case[], certainty: number) =>
      request<WhatIf>(at(farm, "what-if"), { method: "POST", json: { cases, certainty }, timeLimitMs: RECKONING_LIMIT_MS }),
    calendar: (farm: string) => request<SeasonCalendar>(at(farm, "calendar")),
    saveCalendar: (farm: string, { is_set: _, ...calendar }: SeasonCalendar) =>
      request<SeasonCalendar>(at(farm, "calendar"), { method: "PUT", json: calendar }),
    strengths: (farm: string) => request<{ strengths: Strength[] }>(at(farm, "strengths")),
    saveStrengths: (farm: string, strengths: readonly Strength[]) =>
      request<{ strengths: Strength[] }>(at(farm, "strengths"), { method: "PUT", json: { strengths } }),
    crewDays: (farm: string) => request<{ crew_days: ToldCrewDay[] }>(at(farm, "crew-days")),
  };
}
