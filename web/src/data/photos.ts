/**
 * Photos of checked trees on this device: kept until the service has them, and sent once it has their check.
 *
 * A database that was put back is offered them again, as it is offered the checks: a photo goes when its check does.
 */

import type { Entry, RefusedPhoto } from "../core/outbox";
import type { Base, Database, HeldPhoto } from "./database";
import { Problem, sentence, type Request } from "./request";

export interface Photos {
  /** Keep a photo; false where this device cannot. */
  keep(photo: Pick<HeldPhoto, "id" | "farmId" | "checkId" | "jpeg">): Promise<boolean>;
  remove(id: string): Promise<void>;
  /** Return the pictures of these ids that are here. */
  read(ids: readonly string[]): Promise<HeldPhoto[]>;
  /** Remove those that were taken for no check that is here or is to come. */
  sweep(toCome: ReadonlySet<string>): Promise<void>;
  /** Send what can go now; tells how many photos of checks still wait. */
  send(): Promise<number>;
  /** Return those that the service will never take, and why. */
  refused(): Promise<RefusedPhoto[]>;
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
  /** What is here, without the pictures; read once. */
  let index: Promise<Map<string, Known>> | null = null;
  let running: Promise<number> | null = null;
  const open = async (): Promise<Base> => {
    const base = await database.base();
    if (!base.objectStoreNames.contains("photos")) throw new Error("An older tab holds the database as it was before there were photos.");
    return base;
  };
  const known = (): Promise<Map<string, Known>> => {
    index ??= open()
      .then((base) => base.getAll("photos"))
      .then((all) => new Map(all.map((photo) => [photo.id, knownOf(photo)])));
    index.catch(() => (index = null));
    return index;
  };
  const put = async (photo: HeldPhoto): Promise<void> => {
    const step = (await open()).transaction("photos", "readwrite", STRICT);
    await Promise.all([step.store.put(photo), step.done]);
    (await known()).set(photo.id, knownOf(photo));
  };
  const remove = async (id: string): Promise<void> => {
    await (await open()).delete("photos", id);
    (await known()).delete(id);
  };
  /** Send one; false where nothing more can go now. */
  const sendOne = async (id: string, ackedAt: string): Promise<boolean> => {
    const photo = await (await open()).get("photos", id);
    if (photo === undefined) return true;
    const { farmId, checkId, jpeg } = photo;
    const path = `/farms/${encodeURIComponent(farmId)}/photos/${encodeURIComponent(id)}?check_id=${encodeURIComponent(checkId)}`;
    try {
      await request(path, { method: "PUT", jpeg, timeLimitMs: LONG_LIMIT_MS, waits: true });
      await put({ ...photo, sent: ackedAt });
      return true;
    } catch (error) {
      if (error instanceof Problem && FOR_GOOD.has(error.status)) {
        await put({ ...photo, refused: sentence(error, "") });
        return true;
      }
      return error instanceof Problem && error.status === 404; // a check that is not there yet holds up its own photo only
    }
  };
  const run = async (): Promise<number> => {
    const here = await known();
    const checks = new Map(entries().flatMap((entry) => (entry.kind === "checks" ? [[entry.id, entry] as const] : [])));
    let goes = true;
    for (const [id, { checkId, sent, refused }] of [...here]) {
      const { acked_at = null } = checks.get(checkId) ?? {};
      if (sent !== null && !checks.has(checkId)) await remove(id);
      else if (goes && acked_at !== null && sent !== acked_at && refused === "") goes = await sendOne(id, acked_at);
    }
    // those without a check are of a tree that is being judged
    return [...here.values()].filter(({ checkId, sent, refused }) => sent === null && refused === "" && checks.has(checkId)).length;
  };
  return {
    keep: (photo) => put({ ...photo, sent: null, refused: "" }).then(() => true, () => false),
    remove: (id) => remove(id).catch(() => undefined),
    async read(ids) {
      const base = await open();
      const found = await Promise.all(ids.map((id) => base.get("photos", id)));
      return found.flatMap((photo) => photo ?? []);
    },
    async sweep(toCome) {
      const here = await known();
      const checks = new Set(entries().map(({ id }) => id));
      const lost = [...here].filter(([, { checkId, sent, refused }]) => sent === null && refused === "" && !checks.has(checkId) && !toCome.has(checkId));
      for (const [id] of lost) await remove(id);
    },
    async refused() {
      return [...(await known())].flatMap(([id, { checkId, refused: why }]) => (why === "" ? [] : [{ id, checkId, why }]));
    },
    send() {
      running ??= run().finally(() => (running = null));
      return running;
    },
  };
}

type Known = Pick<HeldPhoto, "checkId" | "sent" | "refused">;

function knownOf({ checkId, sent, refused }: HeldPhoto): Known {
  return { checkId, sent, refused };
}
