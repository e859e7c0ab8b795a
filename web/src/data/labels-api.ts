/** Row-end labels, made by the service as a PDF. */

import type { Request } from "./request";

/** A label takes the service about 24 ms of one core, and it makes 1,000 at most. */
const LIMIT_MS = 120_000;

export interface LabelWish {
  block: string;
  /** Such as `1-20`; empty for all. */
  rows: string;
  ends: string;
  /** Of the service, as tablets reach it; stands in every code. */
  address: string;
}

/** Return the labels of a block's rows. */
export function labelsPdf(request: Request, farmId: string, wish: LabelWish): Promise<Blob> {
  const asked = Object.entries(wish).map(([name, value]) => `${name}=${encodeURIComponent(value)}`);
  return request<Blob>(`/farms/${encodeURIComponent(farmId)}/labels.pdf?${asked.join("&")}`, { file: true, timeLimitMs: LIMIT_MS });
}
