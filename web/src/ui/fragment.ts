/** What an address carries after its #: a code or token that must not stay in sight, nor in the browser's history. */

import { inFragment } from "../core/door";

/** Return the value of `name` (with "" the whole fragment) and take it out of the address bar at once. */
export function takeFragment(name: string): string | null {
  const value = inFragment(location.hash, name);
  if (value !== null) history.replaceState(history.state, "", location.pathname + location.search);
  return value;
}
