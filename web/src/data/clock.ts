/** This device's clock against the service's: how far it is off, and what moment an upload says it is sent at. */

import type { Batch } from "../core/outbox";
import { skewOf, type Skew } from "../core/skew";
import type { Api } from "./api";

export interface ClockTools {
  api: Pick<Api, "changes">;
  now(): number;
  /** What this device remembers of how far its clock is off. */
  skew: { get(): Skew | null; set(skew: Skew): void };
}
export interface ClockStanding {
  /** This device's clock minus the service's, in seconds, as of the last answer to this page that told. */
  skew_s: number | null;
  /** The same as it was heard last, by this page or one before it. */
  known: Skew | null;
}
export interface Clock {
  standing(): ClockStanding;
  /** The service told its clock, or did not, to a question of this moment; returns how far this device's is off. */
  heard(askedMs: number, server_at: string | null | undefined): number | null;
  /**
   * Return the moment that an upload says it is sent at, by this device's clock.
   *
   * Records that go again are reckoned by the clock of their first time, mended or not since: their day must not change. So
   * how far the clock is off now is asked first.
   */
  sentAt(batch: Pick<Batch, "farmId" | "skew_s">): Promise<number>;
}

/** Return the clock. */
export function clockOf({ api, now, skew }: ClockTools): Clock {
  let standing: ClockStanding = { skew_s: null, known: skew.get() };
  const heard = (askedMs: number, server_at: string | null | undefined): number | null => {
    const skew_s = skewOf(askedMs, now(), server_at);
    if (skew_s === null) return null;
    const known = { skew_s, heard_at: new Date(now()).toISOString() };
    standing = { skew_s, known };
    skew.set(known);
    return skew_s;
  };
  return {
    standing: () => standing,
    heard,
    async sentAt({ farmId, skew_s }) {
      if (skew_s === null) return now();
      const askedMs = now();
      const { server_at } = await api.changes(farmId, Number.MAX_SAFE_INTEGER);
      const off_s = heard(askedMs, server_at);
      return off_s === null ? now() : Math.round(now() + (skew_s - off_s) * 1_000);
    },
  };
}
