/**
 * The outbox: every record made on this device, on disk before it counts as kept, and in memory to be shown.
 *
 * "On disk" means that the transaction completed with strict durability. What the disk refuses stays in memory and is
 * told apart by `isSafe`; it is sent like all others.
 */

import type { Shortcoming } from "../core/queue-wording";
import { byAge, mayForget, type Entry } from "../core/outbox";
import type { Base, Database } from "./database";

export interface Outbox {
  /** Every record of this device, oldest first. */
  entries(): readonly Entry[];
  /** Tell whether a record is on disk. */
  isSafe(id: string): boolean;
  /** Why records cannot be kept on disk, or null. */
  trouble(): Shortcoming | null;
  /** Keep new records; true once they are on disk, false when they are in this page's memory only. */
  add(entries: readonly Entry[]): Promise<boolean>;
  /** Write what became of records. */
  change(entries: readonly Entry[]): Promise<void>;
  /** Read again what other tabs kept. Here alone records are removed: acknowledged ones, 14 days later. */
  reload(): Promise<void>;
  listen(changed: () => void): () => void;
}

const STRICT = { durability: "strict" } as const;
/** A disk that does not answer is not waited for: the record is in memory then, and said so. */
const WRITE_LIMIT_MS = 4_000;

/** Return the outbox over a database. */
export function outboxOf(database: Database, now: () => number): Outbox {
  const memory = new Map<string, Entry>();
  const unsafe = new Set<string>();
  const listeners = new Set<() => void>();
  let trouble: Shortcoming | null = null;
  const tell = (): void => listeners.forEach((listener) => listener());

  const write = async (entries: readonly Entry[], gone: readonly string[] = [], opened?: Base): Promise<void> => {
    const base = opened ?? (await database.base());
    const step = base.transaction("outbox", "readwrite", STRICT);
    const steps: Promise<unknown>[] = [...entries.map((entry) => step.store.put(entry)), ...gone.map((id) => step.store.delete(id))];
    await inTime(Promise.all([...steps, step.done]));
  };
  /** Write what only memory has; tells whether all of it is on disk now. */
  const secure = async (): Promise<boolean> => {
    const left = [...unsafe].flatMap((id) => memory.get(id) ?? []);
    if (left.length === 0) return true;
    try {
      await write(left);
      left.forEach(({ id }) => unsafe.delete(id));
      trouble = null;
      return true;
    } catch (error) {
      trouble = whyNot(error);
      return false;
    }
  };
  // the browser may have emptied the database: what memory still holds is written again
  database.onRenewal((base) => write([...memory.values()], [], base));

  return {
    entries: () => [...memory.values()].sort(byAge),
    isSafe: (id) => !unsafe.has(id),
    trouble: () => trouble,
    async add(entries) {
      for (const entry of entries) {
        memory.set(entry.id, entry);
        unsafe.add(entry.id);
      }
      const kept = await secure();
      tell();
      return kept || entries.every(({ id }) => !unsafe.has(id));
    },
    async change(entries) {
      for (const entry of entries) memory.set(entry.id, entry);
      try {
        await write(entries);
        entries.forEach(({ id }) => unsafe.delete(id));
      } catch (error) {
        // acknowledged, but the disk still says "waiting": it is sent once more after a restart, and answered as there
        trouble = whyNot(error);
      }
      // acknowledged by the service is as safe as it gets, on this disk or not
      entries.filter(({ acked_at }) => acked_at !== null).forEach(({ id }) => unsafe.delete(id));
      tell();
    },
    async reload() {
      await secure();
      const before = [...memory.keys()].filter((id) => !unsafe.has(id));
      const kept = await database.base().then((base) => base.getAll("outbox")).catch((error: unknown) => {
        trouble = whyNot(error);
        return null;
      });
      if (kept === null) return tell();
      const gone = new Set(mayForget(kept, now()));
      // what was added while this was read is not in it, and stays
      const there = new Set(kept.map(({ id }) => id));
      before.filter((id) => !there.has(id) || gone.has(id)).forEach((id) => memory.delete(id));
      for (const entry of kept) if (!gone.has(entry.id) && !unsafe.has(entry.id)) memory.set(entry.id, entry);
      if (gone.size > 0) await write([], [...gone]).catch(() => undefined);
      tell();
    },
    listen(changed) {
      listeners.add(changed);
      return () => listeners.delete(changed);
    },
  };
}

function whyNot(error: unknown): Shortcoming {
  return error instanceof Error && error.name === "QuotaExceededError" ? "full" : "noStorage";
}

async function inTime(writing: Promise<unknown>): Promise<void> {
  let timer: ReturnType<typeof setTimeout> | undefined;
  const late = new Promise<never>((_, reject) => {
    timer = setTimeout(() => reject(new Error("The disk does not answer.")), WRITE_LIMIT_MS);
  });
  try {
    await Promise.race([writing, late]);
  } finally {
    clearTimeout(timer);
  }
}
