/** The service's routes of settling: what waits for a manager's word, and the word itself. */

import type { Mark } from "../core/contracts";
import type { Matters, SettlementBody } from "../core/matters";
import { receiptsIn, WIRE_SCHEMA } from "../core/outbox";
import { NoAnswer, Problem, type Request } from "./request";

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
    /** Record a mark where its trees are; throws what stands against it. */
    async markThere(farm: string, mark: Mark): Promise<void> {
      const json = { sent_at: mark.device_at, schema: WIRE_SCHEMA, marks: [mark] };
      const found = receiptsIn(await request<unknown>(at(farm, "marks"), { method: "POST", json }));
      const [receipt] = found?.outcomes ?? [];
      if (receipt === undefined) throw new NoAnswer("no receipt");
      if (receipt.outcome === "set_aside") throw new Problem(422, "set-aside", receipt.reason, "", "", []);
    },
    settle: (farm: string, settlement: SettlementBody) =>
      request<Settled>(at(farm, "settlements"), { method: "POST", json: settlement }),
  };
}
