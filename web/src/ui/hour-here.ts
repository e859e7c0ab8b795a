/** The hour on this device's own clock, for what ends after so many seconds. */

import { hourText } from "../core/numbers";

/** Return the hour it will be in `seconds`, in the zone this device is set to; the next full minute, never too early. */
export function hourIn(seconds: number): string {
  const then = Math.ceil((Date.now() + seconds * 1000) / 60_000) * 60_000;
  return hourText(new Date(then).toISOString(), Intl.DateTimeFormat().resolvedOptions().timeZone);
}
