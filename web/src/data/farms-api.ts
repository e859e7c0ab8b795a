/** The service's route of farms side by side. */

import type { FarmWork } from "../core/farms-contracts";
import type { Request } from "./request";

/** Each farm's overview and forecast are worked out for it. */
const RECKONING_LIMIT_MS = 60_000;

/** Return the farms that whoever asks manages or advises. */
export function readFarms(request: Request): Promise<{ farms: FarmWork[] }> {
  return request<{ farms: FarmWork[] }>("/farms/side-by-side", { timeLimitMs: RECKONING_LIMIT_MS });
}
