/** Everything that this device keeps, put together: outbox, sender, ground, and the routes with the ground behind them. */

import { stateWithOwn } from "../core/own-records";
import { notInLog } from "../core/outbox";
import { skewIn, skewText, trueMs } from "../core/skew";
import type { Api } from "./api";
import { databaseOf } from "./database";
import type { Device } from "./device";
import { groundedApi, type Reading } from "./grounded";
import { groundOf, type Ground } from "./ground";
import { halfDoneOf, type HalfDone } from "./half-done";
import { outboxOf, type Outbox } from "./outbox";
import type { Photos } from "./photos";
import type { Request } from "./request";
import { sendingOf, type Sending } from "./sending";
import { syncOf, type Sync } from "./sync";
import { tabsOf } from "./tabs";

export interface Kept {
  api: Api;
  outbox: Outbox;
  sending: Sending;
  sync: Sync;
  ground: Ground;
  halfDone: HalfDone;
  /** Photos of checked trees; their code is fetched when it is first wanted. */
  photos(): Promise<Photos>;
  /** Read what is kept; the pages may be shown before it ends, but not marked in. */
  open(): Promise<void>;
}
export interface KeptTools {
  api: Api;
  request: Request;
  device: Pick<Device, "get" | "set">;
  tab: string;
  /** The crew that this tablet may speak for; null speaks for any. */
  crewId(): string | null;
  changed(): void;
  read(reading: Reading): void;
  outdated(): void;
  held(isHeld: boolean): void;
}

/** Return what this device keeps. */
export function keptOf({ api, request, device, tab, crewId, changed, read, outdated, held }: KeptTools): Kept {
  const now = (): number => Date.now();
  const database = databaseOf({ outdated, held });
  const outbox = outboxOf(database);
  const channel = typeof BroadcastChannel === "undefined" ? undefined : new BroadcastChannel("orchardmap");
  const tabs = tabsOf({ locks: navigator.locks, channel }, database, tab, now);
  let timer: ReturnType<typeof setTimeout> | undefined;
  const sync = syncOf({
    api,
    outbox,
    tabs,
    now,
    random: Math.random,
    skew: { get: () => skewIn(device.get("skew")), set: (skew) => device.set("skew", skewText(skew)) },
    later(run, ms) {
      clearTimeout(timer);
      timer = setTimeout(run, ms);
    },
    changed,
  });
  const sending = sendingOf(outbox, sync, () => new Date(), changed);
  // the farm's day turns by the service's clock: by a fast one it would turn before there is anything new to draw
  const ground = groundOf({ api, database, now: () => trueMs(now(), sync.standing().known), crewId, heardEpoch: sync.heardEpoch });
  tabs.listen((news) => void (news === "outbox" ? outbox.reload() : ground.open()));
  const shapes = new Map<string, Awaited<ReturnType<Api["shape"]>>>();
  const grounded = groundedApi({
    api: {
      ...api,
      async shape(block, version) {
        const shape = await api.shape(block, version);
        shapes.set(block, shape);
        return shape;
      },
    },
    ground,
    now,
    read,
    pendingFor: (block, read) => notInLog(outbox.entries(), block, read),
    async fold(state, log, pending) {
      const shape = shapes.get(state.id) ?? (await ground.block(state.id))?.shape;
      return stateWithOwn({ state, log, rows: shape?.rows ?? [] }, pending, crewId());
    },
  });
  let photos: Promise<Photos> | undefined;
  return {
    api: grounded,
    outbox,
    sending,
    sync,
    ground,
    halfDone: halfDoneOf(database),
    photos: () =>
      (photos ??= import("./photos").then(({ photosOf }) => photosOf({ database, request, entries: outbox.entries })).catch((error: unknown) => {
        photos = undefined; // it is fetched again when it is wanted again
        throw error;
      })),
    async open() {
      await Promise.all([outbox.reload(), ground.open()]);
    },
  };
}
