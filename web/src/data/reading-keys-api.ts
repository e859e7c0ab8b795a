/** The service's routes of reading keys. */

import type { KeySight, ReadingKey } from "../core/reading-keys-wording";
import type { Request } from "./request";

export interface KeyWish {
  name: string;
  sees: KeySight;
  ends_on: string;
}
export interface NewKey {
  reading_key: ReadingKey;
  /** Told this once. */
  key: string;
  /** Of the farm, for programs. */
  address: string;
}

export type KeysApi = ReturnType<typeof keysApi>;

/** Return the routes of a farm over a request function. */
export function keysApi(request: Request, farm: string) {
  const at = `/farms/${encodeURIComponent(farm)}/reading-keys`;
  return {
    keys: () => request<{ reading_keys: ReadingKey[] }>(at),
    make: (wish: KeyWish) => request<NewKey>(at, { method: "POST", json: wish }),
    end: (key: string) => request<null>(`${at}/${encodeURIComponent(key)}`, { method: "DELETE" }),
  };
}
