/** Where the device says it is, asked once at a touch and kept nowhere. */

import type { Fix } from "../core/nearest-row";

export type Whereabouts = { state: "found"; fix: Fix } | { state: "denied" } | { state: "unknown" };

const LIMIT_MS = 8_000;

/** Ask for the position once, never one that was kept: a row is passed in a minute. Browsers tell it on https and on this very machine only. */
export function whereAmI(geolocation: Geolocation | undefined): Promise<Whereabouts> {
  if (geolocation === undefined) return Promise.resolve({ state: "denied" });
  return new Promise((done) => {
    geolocation.getCurrentPosition(
      ({ coords }) =>
        done({ state: "found", fix: { lonlat: [coords.longitude, coords.latitude], accuracy_m: coords.accuracy } }),
      (error) => done({ state: error.code === error.PERMISSION_DENIED ? "denied" : "unknown" }),
      { enableHighAccuracy: true, timeout: LIMIT_MS, maximumAge: 0 },
    );
  });
}
