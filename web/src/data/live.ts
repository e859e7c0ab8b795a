/** The stream by which the service says at once that a farm's log went on. Where there is none, pages ask now and then as before. */

import { CHANNEL, sharedStream } from "./shared-stream";

/** Where a farm's log stands. */
export interface LogPlace {
  cursor: number;
  epoch: string;
}
/** The part of the browser's `EventSource` that is used. */
export type Stream = Pick<EventSource, "addEventListener" | "close">;
export interface LiveTools {
  open(farm: string): Stream;
  now(): number;
  isHidden(): boolean;
  /** The log went on, or the stream broke off: look at once. */
  rung(): void;
}
export interface Live {
  /** Follow this farm and leave any other; null follows none. Opens again what was closed for good, once in a while. */
  tend(farm: string | null): void;
  /** Where the log stood when it was last told; null where that is not known for sure. */
  place(): LogPlace | null;
}

/** The service says something every 15 seconds; after so long a silence the line is taken for dead. */
export const SILENT_MS = 40_000;
/** A stream that was refused is asked for again after this. */
export const AGAIN_MS = 60_000;

/** Return the following of one farm at a time, silent while the page is hidden. */
export function liveOf({ open, now, isHidden, rung }: LiveTools): Live {
  let farm: string | null = null;
  let stream: Stream | null = null;
  let told: LogPlace | null = null;
  let heardAt = 0;
  let openedAt = 0;

  const shut = (): void => {
    stream?.close();
    stream = null;
    told = null;
  };
  const begin = (of: string): void => {
    const mine = open(of);
    [stream, openedAt, heardAt] = [mine, now(), now()];
    mine.addEventListener("change", (event) => {
      if (mine !== stream) return;
      const place = JSON.parse((event as MessageEvent<string>).data) as LogPlace;
      const isNews = told === null || place.cursor !== told.cursor || place.epoch !== told.epoch;
      [told, heardAt] = [place, now()];
      if (isNews) rung();
    });
    mine.addEventListener("error", () => {
      if (mine !== stream || told === null) return;
      told = null; // the browser tries again by itself, unless it was refused
      rung();
    });
  };
  return {
    tend(wanted) {
      const follows = isHidden() ? null : wanted;
      if (follows !== farm) shut();
      farm = follows;
      if (farm === null) return;
      const isDead = stream !== null && now() - heardAt > SILENT_MS && now() - openedAt > AGAIN_MS;
      if (isDead) shut();
      if (stream === null) begin(farm);
    },
    place: () => (told !== null && now() - heardAt <= SILENT_MS ? told : null),
  };
}

/** Return the following over the browser's own stream, which its windows share. */
export function browserLive(rung: () => void): Live {
  const isHidden = (): boolean => document.visibilityState === "hidden";
  // the map in a page's frame hears it too (`maps/assets/following.js`)
  const tools = { locks: navigator.locks, channel: new BroadcastChannel(CHANNEL), open: (address: string) => new EventSource(address) };
  const live = liveOf({ open: (farm) => sharedStream(farm, tools), now: () => Date.now(), isHidden, rung });
  // rounds rest while the page is hidden: the stream is let go here
  document.addEventListener("visibilitychange", () => {
    if (isHidden()) live.tend(null);
  });
  return live;
}
