/**
 * One stream for all windows of a browser that show a farm: one has it and passes on what it hears; when that one goes or is hidden, the next takes over.
 *
 * A browser opens six connections to a host, and a stream keeps one for good: with a stream each, six windows would leave none to ask
 * anything by. The map's page does the like (`maps/assets/following.js`), under the same names.
 */

import type { LogPlace, Stream } from "./live";

export interface SharingTools {
  /** Missing on plain http: there each window has a stream. */
  locks: Pick<LockManager, "request"> | undefined;
  channel: Pick<BroadcastChannel, "postMessage" | "addEventListener" | "removeEventListener">;
  open(address: string): Stream;
}
/** What a window passes on: where the log stands, or that the stream broke off and nobody knows. */
export type Passed = { farm: string } & (LogPlace | { broken: true });

export const CHANNEL = "orchardmap-log";
const lockOf = (farm: string): string => `orchardmap.stream ${farm}`;

/** Return a stream of a farm's log: its own, or what another window passes on until this one takes over. */
export function sharedStream(farm: string, { locks, channel, open }: SharingTools): Stream {
  const heard = new EventTarget();
  const gone = new AbortController();
  let own: Stream | null = null;
  const tell = (passed: Passed): void => {
    const { farm: _, ...place } = passed;
    heard.dispatchEvent("broken" in passed ? new Event("error") : new MessageEvent("change", { data: JSON.stringify(place) }));
  };
  const pass = (passed: Passed): void => {
    if (gone.signal.aborted) return;
    channel.postMessage(passed);
    tell(passed);
  };
  const others = (event: Event): void => {
    const passed = (event as MessageEvent<Passed>).data;
    if (own === null && passed.farm === farm) tell(passed);
  };
  /** Have the stream for as long as this window wants one. What it says first makes up for whatever was said between two windows. */
  const lead = (): Promise<void> =>
    new Promise((done) => {
      if (gone.signal.aborted) return done();
      gone.signal.addEventListener("abort", () => done());
      own = open(`/api/farms/${encodeURIComponent(farm)}/events`);
      own.addEventListener("change", (event) => pass({ farm, ...(JSON.parse((event as MessageEvent<string>).data) as LogPlace) }));
      own.addEventListener("error", () => pass({ farm, broken: true }));
    });
  channel.addEventListener("message", others);
  if (locks === undefined) void lead();
  else void locks.request(lockOf(farm), { signal: gone.signal }, lead).catch(() => undefined); // left before its turn came
  return {
    addEventListener: heard.addEventListener.bind(heard) as Stream["addEventListener"],
    close() {
      channel.removeEventListener("message", others);
      own?.close();
      gone.abort();
    },
  };
}
