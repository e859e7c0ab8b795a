/**
 * What is half done on this device: kept at every touch, so that a tablet that dies takes with it only what the disk was just writing.
 *
 * Beside the outbox: what is half done is no record yet, and nobody but this device knows of it.
 */

import type { Database } from "./database";

export interface HalfDone {
  read(what: string): Promise<unknown>;
  /** Keep a plain value in place of the last one; the promise ends when it is on disk, or when the disk has refused it. */
  keep(what: string, value: unknown): Promise<void>;
  /** Return all whose names begin so, by name. */
  all(begin: string): Promise<Map<string, unknown>>;
  /** Forget it: it is done, or there is nothing that it belongs to. */
  drop(what: string): Promise<void>;
}

const KEY = "half-done:";
const STRICT = { durability: "strict" } as const;

/** Return what is half done over a database. Where it refuses, it lasts until the page is left. */
export function halfDoneOf(database: Database): HalfDone {
  const memory = new Map<string, unknown>();
  return {
    async read(what) {
      if (memory.has(what)) return memory.get(what);
      return database.base().then((base) => base.get("settings", KEY + what)).catch(() => undefined);
    },
    async keep(what, value) {
      memory.set(what, value);
      try {
        const base = await database.base();
        // transactions on one store are done in the order they were begun: the last touch stands
        const step = base.transaction("settings", "readwrite", STRICT);
        await Promise.all([step.store.put(value, KEY + what), step.done]);
      } catch {
        // full or refused: what waits in memory serves until the page is left; the outbox says that the disk refuses
      }
    },
    async all(begin) {
      const range = IDBKeyRange.bound(KEY + begin, `${KEY}${begin}\uffff`);
      const onDisk = await database
        .base()
        .then(async (base) => {
          const step = base.transaction("settings");
          const [keys, values] = await Promise.all([step.store.getAllKeys(range), step.store.getAll(range)]);
          return keys.map((key, at): [string, unknown] => [key.slice(KEY.length), values[at]]);
        })
        .catch(() => []);
      return new Map([...onDisk, ...[...memory].filter(([what]) => what.startsWith(begin))]);
    },
    async drop(what) {
      memory.delete(what);
      await database.base().then((base) => base.delete("settings", KEY + what)).catch(() => undefined);
    },
  };
}
