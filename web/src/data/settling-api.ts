/** The service's routes of settling: what waits for a manager's word, and the word itself. */

import type { Matters, SettlementBody } from "../core/matters";
import type { Request } from "./request";

export interface Settled {
  number: number;
  cursor: number;
}
export type SettlingApi = ReturnType<typeof settlingApi>;

/** Return the routes over a request function. */
export function settlingApi(request: Request) {
  const at = (farm: string, what: string): string => `/farms/${encodeURIComponent(farm)}/${what}`;
  return {
    matters: (farm: string) => request<Matters>(at(farm, "matters")),
    settle: (farm: string, settlement: SettlementBody) =>
      request<Settled>(at(farm, "settlements"), { method: "POST", json: settlement }),
  };
}
