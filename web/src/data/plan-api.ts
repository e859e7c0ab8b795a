/** The service's routes of giving blocks out. */

import type { PlanBoard, PlanForecast, Proposal, Queues } from "../core/plan-queues";
import type { Request } from "./request";

/** A time during which nobody may work in a block; moments as ISO 8601. */
export interface Closure {
  id: string;
  starts_at: string;
  ends_at: string;
  reason: string;
}
export type PlanApi = ReturnType<typeof planApi>;
/** A large farm takes a while. */
const PROPOSAL_LIMIT_MS = 30_000;

/** Return the routes over a request function. */
export function planApi(request: Request) {
  const at = (farm: string, what: string): string => `/farms/${encodeURIComponent(farm)}/${what}`;
  const closures = (block: string): string => `/blocks/${encodeURIComponent(block)}/closures`;
  return {
    closures: (block: string) => request<{ closures: Closure[] }>(closures(block)),
    close: (block: string, closure: Omit<Closure, "id">) => request<Closure>(closures(block), { method: "POST", json: closure }),
    endClosure: (block: string, closure: string, ends_at: string) =>
      request<null>(`${closures(block)}/${encodeURIComponent(closure)}/end`, { method: "POST", json: { ends_at } }),
    queues: (farm: string) => request<PlanBoard>(at(farm, "queues")),
    save: (farm: string, { queues, open, own_first, revision }: Queues) =>
      request<PlanBoard>(at(farm, "queues"), { method: "PUT", json: { queues, open, own_first, revision } }),
    propose: (farm: string, language: string) =>
      request<Proposal>(at(farm, `queue-proposals?lang=${encodeURIComponent(language)}`), { method: "POST", timeLimitMs: PROPOSAL_LIMIT_MS }),
    forecast: (farm: string, { queues, open, own_first, revision }: Queues) =>
      request<PlanForecast>(at(farm, "queue-forecasts"), { method: "POST", json: { queues, open, own_first, revision }, timeLimitMs: PROPOSAL_LIMIT_MS }),
    setTerms: (block: string, terms: { must_finish_on: string | null; platform_fits: boolean | null }) =>
      request<unknown>(`/blocks/${encodeURIComponent(block)}/terms`, { method: "PUT", json: terms }),
  };
}
