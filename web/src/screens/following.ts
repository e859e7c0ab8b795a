/** Keeping up with the service while the page is open: new records, an outage that ends, blocks to take along. */

import type { Api } from "../data/api";
import type { Ground } from "../data/ground";
import type { Live } from "../data/live";
import { isReady, Problem } from "../data/request";
import type { Sync } from "../data/sync";
import { STILL } from "./context";
import type { Visits } from "./visits";

export interface FollowTools {
  api: Pick<Api, "changes">;
  ground: Ground;
  sync: Sync;
  visits: Visits;
  farmId(): string | null;
  /** Blocks that this device has records of. */
  own(): readonly string[];
  waiting(): number;
  /** Tell the service what is not a record and was done without a connection. */
  settle(): Promise<void>;
  /** Whether the service answered the last time. */
  answered(): boolean | null;
  /** Whether it failed to answer since it was last seen to be there: an upload may have been answered first, and the screen is still drawn from what is kept. */
  wasLost(): boolean;
  /** The screen still reads much of its own: blocks are taken along when it has. */
  isBusy(): boolean;
  /** The service is there again. */
  back(): void;
  tryAgain(): Promise<void>;
}

const FOLLOW_MS = 4_000;
const REFRESH_MS = 600_000;

/**
 * Return the reading of what changed after what the screen has drawn.
 *
 * In another epoch that number means nothing: the database was put back, and the screen is drawn anew.
 */
export function changesReader({ api, sync, visits, farmId, live }: Pick<FollowTools, "api" | "farmId"> & {
  sync: Pick<Sync, "heardEpoch">;
  visits: Pick<Visits, "shown" | "show" | "refused">;
  /** The stream that tells it unasked, where there is one. */
  live(): Pick<Live, "place"> | null;
}): () => Promise<void> {
  let heard: string | null = null;
  return async () => {
    const asked = visits.shown();
    const [cursor, farm] = [asked.cursor(), farmId()];
    if (cursor === null || farm === null) return;
    try {
      // changes are numbered without a gap: the number of the newest one tells how many there are
      const { cursor: last, epoch } = live()?.place() ?? (await api.changes(farm, cursor));
      const isPutBack = heard !== null && heard !== epoch;
      heard = epoch;
      await sync.heardEpoch(epoch);
      if (asked !== visits.shown()) return;
      if (isPutBack) asked.newer(0);
      else if (last > cursor) asked.newer(last - cursor);
    } catch (error) {
      // let in no longer: to the door; what waits on this device stays. Else the connection line says it already
      if (!(error instanceof Problem) || asked !== visits.shown()) return;
      if (error.status === 401) await visits.show();
      // a farm that one has no role on is not known to one either: what stands here is not to be seen any more
      if (error.status === 403 || error.status === 404) await visits.refused().catch(() => undefined);
    }
  };
}

/**
 * Return the watch for a day that has turned since the screen was drawn, and with it perhaps the season: it is drawn anew, for
 * it marks under both. A season that somebody makes meanwhile is a change like others, and takes no form from under the hands.
 *
 * What follows nothing (`STILL`) has no day, and perhaps a half-filled form.
 */
export function calendarWatch({ ground, visits, farmId }: Pick<FollowTools, "farmId"> & {
  ground: Pick<Ground, "farm">;
  visits: Pick<Visits, "shown" | "show">;
}): () => Promise<void> {
  let known: { farm: string; today: string } | null = null;
  return async () => {
    const id = farmId();
    const kept = id === null ? null : await ground.farm(id);
    if (kept === null) return;
    const now = { farm: kept.value.id, today: kept.value.today };
    const before = known;
    known = now;
    if (before === null || before.farm !== now.farm || visits.shown() === STILL) return;
    if (before.today !== now.today) await visits.show();
  };
}

/**
 * Return one look round: at the stream, at what changed, at an outage that may be over, and at what there is to do beside it.
 *
 * It may be fetching blocks for minutes; another one meanwhile looks at the stream and at what changed alone, for what the screen
 * shows does not wait for it.
 */
export function rounds(tools: FollowTools, live: () => Live | null, isHidden: () => boolean): () => Promise<void> {
  const { ground, sync, visits } = tools;
  const readChanges = changesReader({ ...tools, live });
  const watchCalendar = calendarWatch(tools);
  let busy = false;
  let refreshed = 0;

  const refresh = async (): Promise<void> => {
    const farm = tools.farmId();
    if (farm === null || tools.isBusy() || Math.abs(Date.now() - refreshed) < REFRESH_MS) return;
    refreshed = Date.now();
    // no answer, or not allowed now: what is on the device stays, with its age
    await ground.refresh(farm, tools.own()).catch(() => (refreshed = 0));
  };
  /** After an outage: go on as soon as the service is ready, without being asked. */
  const comeBack = async (): Promise<void> => {
    if (!(await isReady())) return;
    const lost = tools.wasLost();
    tools.back();
    if (lost || visits.isDead()) await tools.tryAgain();
  };
  return async () => {
    if (isHidden()) return;
    live()?.tend(tools.farmId());
    if (busy) return readChanges();
    busy = true;
    try {
      await watchCalendar();
      if (tools.wasLost() || visits.isDead()) await comeBack();
      else await readChanges();
      if (tools.answered() !== false) await refresh();
      if (tools.answered() !== false) await tools.settle();
      if (tools.waiting() > 0 && sync.standing().because === null) void sync.kick();
    } finally {
      busy = false;
    }
  };
}

/** Begin to follow: on what the browser tells, and by the clock. Returns the way to look at once. */
export function follow(tools: FollowTools): () => void {
  let live: Live | null = null;
  const round = rounds(tools, () => live, () => document.visibilityState === "hidden");
  // only a page that is shown for a while follows: what it opens with stays small
  void import("../data/live").then(
    ({ browserLive }) => {
      live = browserLive(() => void round());
      live.tend(tools.farmId()); // the round at which it would be opened may have been before
    },
    () => undefined,
  );
  const now = (): void => {
    void tools.sync.kick();
    void round();
  };
  window.addEventListener("online", now);
  window.addEventListener("pageshow", now);
  document.addEventListener("visibilitychange", now);
  setInterval(() => void round(), FOLLOW_MS);
  return now;
}
