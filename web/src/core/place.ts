/** Which screen an address means, and the address of a screen. */

export const SCREENS = ["overview", "rows", "checks", "set-up"] as const;
export type ScreenName = (typeof SCREENS)[number];

export interface Place {
  screen: ScreenName;
  block: string | null;
  /** The row to begin with, as the map's links name it. */
  row?: number;
}

const PATHS = { overview: "/", rows: "/rows", checks: "/checks", "set-up": "/set-up" } as const satisfies Record<
  ScreenName,
  string
>;

/** Return the screen of a path and query; anything unknown is the overview. */
export function placeOf(path: string, query: string): Place {
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
