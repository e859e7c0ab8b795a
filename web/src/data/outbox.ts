/**
 * The outbox: every record made on this device, on disk before it counts as kept, and in memory to be shown.
 *
 * "On disk" means that the transaction completed with strict durability. What the disk refuses stays in memory, is sent
 * like all others, and is written together with whatever is written next: the disk is behind, never of two minds.
 */

import type { Shortcoming } from "../core/queue-wording";
import { byAge, mayForget, type Entry, type Heard } from "../core/outbox";
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
  /** Write what became of records, all in one transaction; tells whether that is on disk. */
  change(entries: readonly Entry[]): Promise<boolean>;
  /** Read again what other tabs kept. */
  reload(): Promise<void>;
  /** Remove what a farm's acknowledgement lets go. Here alone records are removed. */
  forget(farmId: string, heard: Heard): Promise<void>;
  listen(changed: () => void): () => void;
}

const STRICT = { durability: "strict" } as const;
/** A disk that does not answer is not waited for: the record is in memory then, and said so. */
const WRITE_LIMIT_MS = 4_000;

/** Return the outbox over a database. */
export function outboxOf(database: Database): Outbox {
  const memory = new Map<string, Entry>();
  /** Ids that the disk has, as they are now or as they were. */
  const there = new Set<string>();
  /** Ids that the disk does not have as memory has them. */
  const owed = new Set<string>();
  const listeners = new Set<() => void>();
  let trouble: Shortcoming | null = null;
  const tell = (): void => listeners.forEach((listener) => listener());

  const write = async (entries: readonly Entry[], gone: readonly string[] = [], opened?: Base): Promise<void> => {
    const base = opened ?? (await database.base());
    const step = base.transaction("outbox", "readwrite", STRICT);
    const steps: Promise<unknown>[] = [...entries.map((entry) => step.store.put(entry)), ...gone.map((id) => step.store.delete(id))];
    await inTime(Promise.all([...steps, step.done]));
    for (const entry of entries) {
      there.add(entry.id);
      // not when it has changed while it was written
      if (memory.get(entry.id) === entry) owed.delete(entry.id);
    }
  };
  /** Write what only memory knows; tells whether all of it is on disk now. */
  const secure = async (): Promise<boolean> => {
    const left = [...owed].flatMap((id) => memory.get(id) ?? []);
    if (left.length === 0) return true;
    try {
      await write(left);
      trouble = null;
      return true;
    } catch (error) {
      trouble = whyNot(error);
      return false;
    }
  };
  const put = async (entries: readonly Entry[]): Promise<boolean> => {
    for (const entry of entries) {
      memory.set(entry.id, entry);
      owed.add(entry.id);
    }
    const kept = await secure();
    tell();
    return kept;
  };
  // the browser may have emptied the database: what memory still holds is written again
  database.onRenewal((base) => write([...memory.values()], [], base));

  return {
    entries: () => [...memory.values()].sort(byAge),
    // acknowledged by the service is as safe as it gets, on this disk or not
    isSafe: (id) => there.has(id) || (memory.get(id)?.acked_at ?? null) !== null,
    trouble: () => trouble,
    add: async (entries) => (await put(entries)) || entries.every(({ id }) => there.has(id)),
    change: put,
    async reload() {
      await secure();
      const before = new Map(memory);
      const kept = await database.base().then((base) => base.getAll("outbox")).catch((error: unknown) => {
        trouble = whyNot(error);
        return null;
      });
      if (kept === null) return tell();
      const found = new Map(kept.map((entry) => [entry.id, entry]));
      for (const id of new Set([...before.keys(), ...found.keys()])) {
        // what was added or changed while this was read is newer than what was read
        if (owed.has(id) || memory.get(id) !== before.get(id)) continue;
        const entry = found.get(id);
        if (entry === undefined) {
          memory.delete(id);
          there.delete(id);
        } else {
          memory.set(id, entry);
          there.add(id);
        }
      }
      tell();
    },
    async forget(farmId, heard) {
      const gone = mayForget([...memory.values()], farmId, heard).filter((id) => !owed.has(id));
      if (gone.length === 0) return;
      try {
        await write([], gone);
      } catch {
        return; // the next acknowledgement lets them go again
      }
      for (const id of gone) {
        memory.delete(id);
        there.delete(id);
      }
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
