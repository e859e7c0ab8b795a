/** Which screen an address means, and the address of a screen. */

import type { PayPart } from "./pay-place";
import { rowCodeOf } from "./row-code";

/** Screens of a farm, in the order in which they are offered. */
export const FARM_SCREENS = ["overview", "rows", "checks", "quality", "settling", "forecast", "plan", "briefs", "timing", "pay", "farms", "people", "set-up"] as const;
/** Parts of the screen of quality, the first one shown where none is named. */
export const QUALITY_PARTS = ["lots", "new-lot", "weak", "crews", "auditors", "returns"] as const;
export type QualityPart = (typeof QUALITY_PARTS)[number];
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
  /** On the screen of briefs: the one that is open. */
  brief?: string;
  /** On the screen of briefs: what a new one is for; for a block `block` says it. On the overview: whose blocks alone are shown. */
  variety?: string;
  /** Of an open brief: its versions side by side. */
  compare?: boolean;
  /** On the screens of checks and of quality: the lot that is open. */
  lot?: string;
  /** On the screen of checks: the lot is looked at a second time. */
  second?: boolean;
  /** On the screens of quality and of pay; on that of people, to begin at the reading keys. */
  part?: QualityPart | PayPart | "keys";
  /** On the screen of pay: the day to begin with. On the overview: the day that is shown. */
  day?: string;
  /** On the screen of pay: the last day of a run that is not a week. */
  until?: string;
  /** On the screen of quality: the return that a lot is to be drawn over. */
  recheck?: string;
  /** On the screen of quality: the crew whose trees a new lot is to hold. On the screen of pay: the crew to begin with. On the overview: whose work alone is shown. On the forecast: the crew that is to be said away. */
  crew?: string;
}

const PATHS = {
  overview: "/",
  rows: "/rows",
  checks: "/checks",
  quality: "/quality",
  settling: "/settling",
  forecast: "/forecast",
  plan: "/plan",
  briefs: "/briefs",
  timing: "/timing",
  pay: "/pay",
  farms: "/farms",
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
  const block = asked(query, "block") ?? null;
  if (screen === "briefs") {
    const [brief, variety] = [asked(query, "brief"), asked(query, "variety")];
    return { screen, block, ...(brief && { brief }), ...(variety && { variety }), ...(query.endsWith("&compare") && { compare: true }) };
  }
  const row = /[?&]row=(\d{1,6})(&|$)/.exec(query)?.[1];
  return { screen, block, ...(row ? { row: Number(row) } : {}), ...lotAsked(screen, query) };
}

/** Return what an address of the overview, of checks, of quality, of the forecast, of pay or of people asks for beside the block. Which parts and days pay knows, its own screen looks. */
function lotAsked(screen: ScreenName, query: string): Partial<Place> {
  const lot = asked(query, "lot");
  if (screen === "checks") return { ...(lot && { lot }), ...(lot && query.endsWith("&second") && { second: true }) };
  const [said, recheck, crew, day, variety, until] = ["part", "recheck", "crew", "day", "variety", "until"].map((name) => asked(query, name));
  if (screen === "overview") return { ...(crew && { crew }), ...(day && { day }), ...(variety && { variety }) };
  if (screen === "forecast") return { ...(crew && { crew }) };
  if (screen === "pay") return { ...(said && { part: said as PayPart }), ...(crew && { crew }), ...(day && { day }), ...(until && { until }) };
  if (screen === "people") return { ...(said === "keys" && { part: said }) };
  if (screen !== "quality") return {};
  const part = QUALITY_PARTS.find((one) => one === said);
  return { ...(lot && { lot }), ...(part && { part }), ...(recheck && { recheck }), ...(crew && { crew }) };
}

/** Return what a query says of a name, or nothing. */
function asked(query: string, name: string): string | undefined {
  const found = new RegExp(`[?&]${name}=([^&]+)`).exec(query)?.[1];
  return found && decodeURIComponent(found);
}

/** Return the address of a screen. */
export function addressOf(place: Place): string {
  if (place.brief) return `${PATHS[place.screen]}?brief=${encodeURIComponent(place.brief)}${place.compare ? "&compare" : ""}`;
  const { block, row, part, lot, second, recheck, crew, day, until, variety } = place;
  const asking = Object.entries({ block, row, part, lot, recheck, crew, day, until, variety }).flatMap(([name, value]) =>
    value === null || value === undefined ? [] : [`${name}=${encodeURIComponent(value)}`],
  );
  return asking.length === 0 ? PATHS[place.screen] : `${PATHS[place.screen]}?${asking.join("&")}${second ? "&second" : ""}`;
}
