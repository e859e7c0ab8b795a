/**
 * This device's database: its stores, their upgrades, and what happens when another tab or the browser takes it away.
 *
 * An upgrade runs in one transaction: it happens whole or not at all. When it fails, the database is opened as it was
 * before, so that records that wait can still be read and sent.
 */

import { openDB, type DBSchema, type IDBPDatabase, type IDBPTransaction, type StoreNames } from "idb";
import type { BlockPack } from "../core/contracts";
import type { Entry } from "../core/outbox";

/** Something of the farm as the service answered it, and when. */
export interface Held {
  value: unknown;
  madeAt: string;
}
/** A block as it is on this device. */
export interface HeldBlock extends BlockPack {
  id: string;
  farmId: string;
  madeAt: string;
  /** Digests of the drawings that its brief names, and those of its lots. */
  pictures?: string[];
}
/** A photo of a checked tree. */
export interface HeldPhoto {
  id: string;
  farmId: string;
  checkId: string;
  /** The picture and nothing beside it. */
  jpeg: ArrayBuffer;
  /** When the check that it was sent after had been acknowledged; null before it was sent. */
  sent: string | null;
  /** Why the service will never take it; empty otherwise. */
  refused: string;
}
export interface Stores extends DBSchema {
  outbox: { key: string; value: Entry };
  packs: { key: string; value: HeldBlock; indexes: { pictures: string } };
  /** Drawings of briefs by digest, as SVG. */
  pictures: { key: string; value: string };
  farm: { key: string; value: Held };
  photos: { key: string; value: HeldPhoto };
  settings: { key: string; value: unknown };
}
export type Base = IDBPDatabase<Stores>;
export type Upgrade = (base: Base, step: IDBPTransaction<Stores, StoreNames<Stores>[], "versionchange">) => void;

/** One step a version, never changed once released. */
export const UPGRADES: readonly Upgrade[] = [
  (base) => {
    base.createObjectStore("outbox", { keyPath: "id" });
    base.createObjectStore("packs", { keyPath: "id" });
    base.createObjectStore("farm");
    base.createObjectStore("settings");
  },
  (base, step) => {
    base.createObjectStore("pictures");
    step.objectStore("packs").createIndex("pictures", "pictures", { multiEntry: true });
  },
  (base) => {
    base.createObjectStore("photos", { keyPath: "id" });
  },
];

export interface Hears {
  /** Another tab brought the database up to date; this one must be loaded again before it can write. */
  outdated(): void;
  /** Whether an older tab, though told to let go, keeps the database from being brought up to date. */
  held(isHeld: boolean): void;
}

export interface Database {
  /** Return the open database; opened anew when the browser closed or deleted it meanwhile. */
  base(): Promise<Base>;
  /** Called after the database was opened anew: what only memory knows must be written again. */
  onRenewal(renewed: (base: Base) => Promise<void>): void;
  close(): void;
}

/** A database that an upgrade does not let go of is not waited for longer than this. */
const OPEN_LIMIT_MS = 5_000;

/** Return this device's database; nothing is opened before it is asked for. */
export function databaseOf(hears: Hears, name = "orchardmap", upgrades = UPGRADES): Database {
  let opened: Promise<Base> | null = null;
  let times = 0;
  let renewed: (base: Base) => Promise<void> = async () => undefined;
  const lose = (): void => {
    opened = null;
  };
  const open = async (version: number | undefined): Promise<Base> => {
    const base = await openDB<Stores>(name, version, {
      upgrade(fresh, from, _to, step) {
        step.done.catch(() => undefined); // that it failed is told by the opening
        for (const upgrade of upgrades.slice(from)) upgrade(fresh, step);
      },
      blocked: () => hears.held(true),
      blocking(_now, next) {
        lose();
        base.close();
        // null: it is being deleted; it is made again when it is asked for next, and filled from memory
        if (next !== null) hears.outdated();
      },
      terminated: lose,
    });
    hears.held(false);
    return base;
  };
  const openAny = async (): Promise<Base> => {
    try {
      return await within(open(upgrades.length));
    } catch (error) {
      // an upgrade that failed, or a database newer than this page: as it stands, if it has the outbox
      const base = await within(open(undefined)).catch(() => null);
      if (base === null) throw error;
      if (base.objectStoreNames.contains("outbox") && base.objectStoreNames.contains("settings")) return base;
      base.close();
      throw error;
    }
  };
  return {
    base() {
      if (opened !== null) return opened;
      times += 1;
      const first = times === 1;
      // nobody reads a database that was emptied before what memory holds is in it again
      const mine = first ? openAny() : openAny().then(async (base) => renewed(base).then(() => base));
      opened = mine;
      mine.catch(() => {
        if (opened === mine) lose();
      });
      return mine;
    },
    onRenewal(run) {
      renewed = run;
    },
    close() {
      void opened?.then((base) => base.close()).catch(() => undefined);
      lose();
    },
  };
}

async function within(opening: Promise<Base>): Promise<Base> {
  let timer: ReturnType<typeof setTimeout> | undefined;
  const late = new Promise<never>((_, reject) => {
    timer = setTimeout(() => reject(new Error("The database does not open.")), OPEN_LIMIT_MS);
  });
  // a database that opens after all is not left open behind our back
  opening.then((base) => (timer === undefined ? base.close() : undefined)).catch(() => undefined);
  try {
    return await Promise.race([opening, late]);
  } finally {
    clearTimeout(timer);
    timer = undefined;
  }
}
