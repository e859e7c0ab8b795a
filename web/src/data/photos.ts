/**
 * Photos of checked trees on this device: kept until the service has them, and sent once it has their check.
 *
 * A database that was put back is offered them again, as it is offered the checks: a photo goes when its check does.
 */

import type { Entry } from "../core/outbox";
import type { Base, Database, HeldPhoto } from "./database";
import { Problem, sentence, type Request } from "./request";

export interface Photos {
  /** Keep a photo; false where this device cannot. */
  keep(photo: Pick<HeldPhoto, "id" | "farmId" | "checkId" | "jpeg">): Promise<boolean>;
  remove(id: string): Promise<void>;
  /** Return the pictures of these ids that are here. */
  read(ids: readonly string[]): Promise<HeldPhoto[]>;
  /** Send what can go now; tells how many photos are still to be sent. */
  send(): Promise<number>;
  /** Hear how many are still to be sent, whenever that was looked at. Returns the way to stop. */
  listen(heard: (waiting: number) => void): () => void;
}
export interface PhotoTools {
  database: Database;
  request: Request;
  entries(): readonly Entry[];
}

const STRICT = { durability: "strict" } as const;
const LONG_LIMIT_MS = 60_000;
/** What no second try mends: it is no bare picture, another one has its id, or the check has too many. */
const FOR_GOOD: ReadonlySet<number> = new Set([409, 413, 422]);

/** Return the photos over a database. */
export function photosOf({ database, request, entries }: PhotoTools): Photos {
  const listeners = new Set<(waiting: number) => void>();
  let running: Promise<number> | null = null;
  /** Everything that is here was sent. */
  let rests = false;
  const open = async (): Promise<Base | null> => {
    const base = await database.base().catch(() => null);
    return base?.objectStoreNames.contains("photos") ? base : null; // an older tab holds the database as it was
  };
  const put = async (photo: HeldPhoto): Promise<void> => {
    const base = await open();
    if (base === null) throw new Error("There is no place for photos.");
    const step = base.transaction("photos", "readwrite", STRICT);
    await Promise.all([step.store.put(photo), step.done]);
  };
  const remove = async (id: string): Promise<void> => {
    await open().then((base) => base?.delete("photos", id)).catch(() => undefined);
  };
  /** Send one; false where nothing more can go now. */
  const sendOne = async (photo: HeldPhoto, ackedAt: string): Promise<boolean> => {
    const { id, farmId, checkId, jpeg } = photo;
    const path = `/farms/${encodeURIComponent(farmId)}/photos/${encodeURIComponent(id)}?check_id=${encodeURIComponent(checkId)}`;
    try {
      await request(path, { method: "PUT", jpeg, timeLimitMs: LONG_LIMIT_MS, waits: true });
      await put({ ...photo, sent: ackedAt });
      return true;
    } catch (error) {
      if (error instanceof Problem && FOR_GOOD.has(error.status)) {
        await put({ ...photo, refused: sentence(error, "") }).catch(() => undefined);
        return true;
      }
      // a check that is not there yet holds up its own photo only
      return error instanceof Problem && error.status === 404;
    }
  };
  const run = async (): Promise<number> => {
    const base = await open();
    const all = base === null ? [] : await base.getAll("photos").catch(() => []);
    const checks = new Map(entries().flatMap((entry) => (entry.kind === "checks" ? [[entry.id, entry] as const] : [])));
    let goes = true;
    for (const photo of all) {
      const { acked_at = null } = checks.get(photo.checkId) ?? {};
      if (photo.sent !== null && !checks.has(photo.checkId)) await remove(photo.id);
      else if (goes && acked_at !== null && photo.sent !== acked_at && photo.refused === "") goes = await sendOne(photo, acked_at);
    }
    const left = base === null ? [] : await base.getAll("photos").catch(() => []);
    const unsent = left.filter(({ sent, refused }) => sent === null && refused === "");
    rests = unsent.length === 0;
    const waiting = unsent.filter(({ checkId }) => checks.has(checkId)).length; // others are of a tree that is being judged
    for (const listener of listeners) listener(waiting);
    return waiting;
  };
  return {
    async keep(photo) {
      try {
        await put({ ...photo, sent: null, refused: "" });
        rests = false;
        return true;
      } catch {
        return false;
      }
    },
    remove,
    async read(ids) {
      const base = await open();
      if (base === null) return [];
      const found = await Promise.all(ids.map((id) => base.get("photos", id).catch(() => undefined)));
      return found.flatMap((photo) => photo ?? []);
    },
    send() {
      if (rests) return Promise.resolve(0);
      running ??= run().finally(() => (running = null));
      return running;
    },
    listen(heard) {
      listeners.add(heard);
      return () => listeners.delete(heard);
    },
  };
}
