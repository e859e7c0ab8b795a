/** What the overview is drawn from: each piece read once, and kept for as long as the farm's log stands still. */

import type { Overview } from "../../core/contracts";
import type { BlockFinish, BurnUpPart, Forecast } from "../../core/forecast-contracts";
import type { PrunedNow } from "../../core/glance";
import type { BlockCost, Cost } from "../../core/pay-contracts";
import type { SeasonDays } from "../../core/season-days";
import { forecastApi } from "../../data/forecast-api";
import { glanceApi } from "../../data/glance-api";
import { aloneOf, inTurn, type Alone } from "../../data/in-turn";
import type { Request } from "../../data/request";
import type { Context } from "../context";
import type { ChosenIds } from "./choice";

export interface Readings {
  /** `byItself`: nobody waits for it, and what others of this browser's pages have reckoned goes first. */
  overview(day: string, byItself: boolean): Promise<Overview>;
  /** The days of a season; null where no answer came. */
  season(id: string | null): Promise<SeasonDays | null>;
  /** The same as they are now, which are kept from then on. */
  seasonNow(id: string | null): Promise<SeasonDays | null>;
  /** Those of the season before it; null where there is none. */
  before(id: string | null): Promise<SeasonDays | null>;
  /** Of the whole farm. */
  forecast(day: string): Promise<Forecast | null>;
  part(day: string, chosen: ChosenIds): Promise<BurnUpPart | null>;
  cost(): Promise<Cost | null>;
  /** Never kept. */
  prunedNow(day: string): Promise<PrunedNow>;
  /** The log went on: what was read before holds no more. */
  forget(): void;
}
/** What the service reckoned of a day. */
export interface Told {
  day: string;
  finishes: readonly BlockFinish[];
  costs: ReadonlyMap<string, BlockCost>;
  currency: string | null;
}
export const NOTHING_TOLD: Told = { day: "", finishes: [], costs: new Map(), currency: null };
/** More days than these were looked at long ago. */
const MOST = 80;

const RECKONED_AT_ONCE = 2;

/** Return the ways to ask what takes the service a while: behind other pages of this browser, and behind what this page asked before. */
export function longQuestions(request: Request): { alone: Alone; reckoned: Request } {
  const alone = aloneOf(navigator.locks);
  return { alone, reckoned: inTurn((...asked) => alone(() => request(...asked)), RECKONED_AT_ONCE) };
}

/** Return the readings of a farm; `reckoned` asks what takes the service a while, `alone` goes without other pages of this browser beside it. */
export function readingsOf({ api, request, farm }: Context, reckoned: Request, alone: Alone): Readings {
  const glance = glanceApi(reckoned, farm.id);
  const forecasts = forecastApi(reckoned);
  const now = glanceApi(request, farm.id);
  const kept = new Map<string, Promise<unknown>>();
  /** A piece that failed is asked for again the next time. */
  const once = <Piece>(name: string, read: () => Promise<Piece>): Promise<Piece> => {
    const found = kept.get(name) as Promise<Piece> | undefined;
    if (found !== undefined) return found;
    const made = read();
    kept.set(name, made);
    made.catch(() => kept.delete(name));
    for (const oldest of kept.keys()) if (kept.size > MOST) kept.delete(oldest);
    return made;
  };
  const orNull = <Piece>(piece: Promise<Piece>): Promise<Piece | null> => piece.catch(() => null);
  const season = (id: string | null): Promise<SeasonDays | null> => orNull(once(`season ${id}`, () => glance.seasonDays(id)));
  return {
    overview: (day, byItself) => once(`day ${day}`, () => (byItself ? alone(() => api.overview(farm.id, day)) : api.overview(farm.id, day))),
    season,
    seasonNow(id) {
      kept.delete(`season ${id}`);
      return season(id);
    },
    async before(id) {
      const earlier = (await season(id))?.before?.id;
      return earlier === undefined ? null : season(earlier);
    },
    forecast: (day) => orNull(once(`forecast ${day}`, () => forecasts.forecast(farm.id, day))),
    part: (day, { crew, variety }) => orNull(once(`part ${day} ${crew} ${variety}`, () => glance.partForecast(day, crew, variety))),
    prunedNow: (day) => now.prunedNow(day),
    cost: () => orNull(once("cost", () => glance.cost())),
    forget() {
      kept.clear();
    },
  };
}
