/** Several tabs of one device: only one sends at a time, and each hears what the others changed. */

import type { Database } from "./database";

export type News = "outbox" | "ground";
export interface Tabs {
  /** Run `job` unless another tab is at it; tells whether it ran. */
  alone(job: () => Promise<void>): Promise<boolean>;
  /** Tell the other tabs. */
  tell(news: News): void;
  listen(heard: (news: News) => void): void;
}
/** What of the browser is used; each may be missing. */
export interface TabTools {
  locks?: Pick<LockManager, "request"> | undefined;
  channel?: Pick<BroadcastChannel, "postMessage" | "addEventListener"> | undefined;
}

const NAME = "orchardmap.sender";
/** How long a tab may send on a lease; a tab that died holds up the others no longer than this. */
const LEASE_MS = 30_000;
const RENEW_MS = 10_000;

interface Lease {
  tab: string;
  until: number;
}

/**
 * Return the way to the other tabs.
 *
 * On plain http there are no Web Locks; there a lease in the database serves. Should two tabs send all the same, the
 * service answers the second "already there": the lock saves work, it does not guard correctness.
 */
export function tabsOf(tools: TabTools, database: Database, tab: string, now: () => number): Tabs {
  const lease = async (): Promise<boolean> => {
    const base = await database.base();
    const step = base.transaction("settings", "readwrite");
    const held = (await step.store.get(NAME)) as Lease | undefined;
    // one that runs longer than any lease was taken under a clock that has been set back since
    const free = held === undefined || held.tab === tab || held.until < now() || held.until > now() + LEASE_MS;
    if (free) await step.store.put({ tab, until: now() + LEASE_MS }, NAME);
    await step.done;
    return free;
  };
  const byLease = async (job: () => Promise<void>): Promise<boolean> => {
    // a device that keeps nothing has no other tab's records to send twice
    if (!(await lease().catch(() => true))) return false;
    const renewing = setInterval(() => void lease().catch(() => undefined), RENEW_MS);
    try {
      await job();
    } finally {
      clearInterval(renewing);
      await database.base().then((base) => base.delete("settings", NAME)).catch(() => undefined);
    }
    return true;
  };
  return {
    async alone(job) {
      if (tools.locks === undefined) return byLease(job);
      return tools.locks.request(NAME, { ifAvailable: true }, async (lock) => {
        if (lock === null) return false;
        await job();
        return true;
      });
    },
    tell: (news) => tools.channel?.postMessage(news),
    listen: (heard) => tools.channel?.addEventListener("message", (event) => heard((event as MessageEvent<News>).data)),
  };
}
