/** Which screen an address means, and the address of a screen. */

import { rowCodeOf } from "./row-code";

/** Screens of a farm, in the order in which they are offered. */
export const FARM_SCREENS = ["overview", "rows", "checks", "settling", "timing", "people", "set-up"] as const;
/** Screens before one is let in: who are you, and which tablet is this. */
export const DOOR_SCREENS = ["sign-in", "first-start", "pair"] as const;
export const SCREENS = [...FARM_SCREENS, ...DOOR_SCREENS] as const;
export type FarmScreen = (typeof FARM_SCREENS)[number];
export type DoorScreen = (typeof DOOR_SCREENS)[number];
export type ScreenName = (typeof SCREENS)[number];

export interface Place {
  screen: ScreenName;
  /** Its id; from a row-end label, its code. */
  block: string | null;
  /** The row to begin with, as the map's links name it. */
  row?: number;
}

const PATHS = {
  overview: "/",
  rows: "/rows",
  checks: "/checks",
  settling: "/settling",
  timing: "/timing",
  people: "/people",
  "set-up": "/set-up",
  "sign-in": "/sign-in",
  "first-start": "/first-start",
  pair: "/pair",
} as const satisfies Record<ScreenName, string>;

/** Tell whether a screen is one of those before one is let in. */
export function isDoor(screen: ScreenName): screen is DoorScreen {
  return DOOR_SCREENS.some((door) => door === screen);
}

/** Return the screen of a path and query; anything unknown is the overview. */
export function placeOf(path: string, query: string): Place {
  // without the service nothing leads a label's address on to its row: it is read here
  const label = /^\/R\//i.test(path) ? (rowCodeOf(path) ?? { block: path.slice(3) }) : null;
  if (label !== null) return { screen: "rows", ...label };
  const screen = SCREENS.find((name) => PATHS[name] === path) ?? "overview";
  const found = /[?&]block=([^&]+)/.exec(query);
  const row = /[?&]row=(\d{1,6})(&|$)/.exec(query)?.[1];
  return { screen, block: found?.[1] ? decodeURIComponent(found[1]) : null, ...(row ? { row: Number(row) } : {}) };
}

/** Return the address of a screen. */
export function addressOf(place: Place): string {
  if (place.block === null) return PATHS[place.screen];
  const row = place.row === undefined ? "" : `&row=${place.row}`;
  return `${PATHS[place.screen]}?block=${encodeURIComponent(place.block)}${row}`;
}
