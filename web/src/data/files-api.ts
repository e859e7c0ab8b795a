/** Files of a farm for other programs: addresses that a browser saves as they are, and the whole farm, for which the service asks who it is. */

import { language } from "../core/language";
import type { Request } from "./request";

/** A large farm takes its time; a slow line more. */
const WHOLE_LIMIT_MS = 600_000;

/** Return where a file of a farm is, as of a day. */
export function fileAddress(farm: string, name: string, day: string): string {
  const query = new URLSearchParams({ day, lang: language() });
  return `/api/farms/${encodeURIComponent(farm)}/files/${name}?${query.toString()}`;
}

/** Return the whole farm as one file. */
export function wholeFarm(request: Request, farm: string): Promise<Blob> {
  return request<Blob>(`/farms/${encodeURIComponent(farm)}/farm.zip`, { file: true, timeLimitMs: WHOLE_LIMIT_MS });
}
