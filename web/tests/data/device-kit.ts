/** For the tests of the data layer: a device with a database of its own, and a service that keeps records by id. */

import "fake-indexeddb/auto";
import { IDBFactory } from "fake-indexeddb";
import type { Changes, Receipts, Withdrawal } from "../../src/core/contracts";
import { skewIn, skewText } from "../../src/core/skew";
import type { Records } from "../../src/data/api";
import { databaseOf, UPGRADES, type Base, type Database } from "../../src/data/database";
import { outboxOf, type Outbox } from "../../src/data/outbox";
import { NoAnswer, Problem } from "../../src/data/request";
import { sendingOf, type Sending } from "../../src/data/sending";
import { syncOf, type Sync } from "../../src/data/sync";
import { tabsOf, type Tabs } from "../../src/data/tabs";

export const START_MS = Date.parse("2026-01-12T09:00:00Z");
export const withdrawal = (id: string): Withdrawal => ({ id, mark_id: "m", device_at: "2026-01-12T09:00:00.000Z" });
export const problem = (status: number, more: { kind?: string; fields?: string[]; after?: number } = {}): Problem =>
  new Problem(status, "t", "d", "", "", (more.fields ?? []).map((where) => ({ where, what: `${where} is bad` })), more.kind, more.after ?? null);
export const noAnswer = (): NoAnswer => new NoAnswer("none");

/** Give the test an empty disk. */
export function freshDisk(): void {
  globalThis.indexedDB = new IDBFactory();
}

export type Disturbance = (ids: string[], commit: () => Receipts) => Promise<Receipts> | Receipts;
/** A service: what it has taken by id, every upload it was sent, and what goes wrong with the next ones. */
export function serviceOf() {
  const stored = new Map<string, object>();
  const uploads: string[][] = [];
  const sentAts: string[] = [];
  const state = { epoch: "e1", cursor: 0, now: START_MS, disturb: [] as Disturbance[], always: null as Disturbance | null };
  const handIn = async (_farm: string, records: Records, sentAt: string): Promise<Receipts> => {
    sentAts.push(sentAt);
    const values = records.values as { id: string }[];
    const ids = values.map(({ id }) => id);
    uploads.push(ids);
    const commit = (): Receipts => {
      const outcomes = values.map((value) => {
        const outcome = stored.has(value.id) ? ("already_there" as const) : ("taken" as const);
        stored.set(value.id, value);
        state.cursor += 1;
        return { id: value.id, outcome, reason: "" };
      });
      return { outcomes, cursor: state.cursor, epoch: state.epoch, server_at: new Date(state.now).toISOString() };
    };
    const next = state.disturb.shift() ?? state.always;
    return next === null ? commit() : next(ids, commit);
  };
  const changes = async (): Promise<Changes> => ({
    changes: [], cursor: state.cursor, epoch: state.epoch, server_at: new Date(state.now).toISOString(),
  });
  return { stored, uploads, sentAts, state, handIn, changes };
}
export type Service = ReturnType<typeof serviceOf>;

/** A disk whose outbox cannot be written while `full` says so. */
export function spoilt(disk: { full: boolean; name?: string }): (database: Database) => Database {
  return (database) => ({
    ...database,
    async base() {
      const base = await database.base();
      if (!disk.full) return base;
      return withOwn(base, "transaction", () => { throw new DOMException("full", disk.name ?? "QuotaExceededError"); });
    },
  });
}

/** Return a database of which one method is another. */
export function withOwn(base: Base, method: "transaction" | "getAll", own: (...all: never[]) => unknown): Base {
  return new Proxy(base, {
    get(target, key) {
      if (key === method) return own;
      const found: unknown = Reflect.get(target, key);
      return typeof found === "function" ? (found as (...all: unknown[]) => unknown).bind(target) : found;
    },
  }) as Base;
}

export interface Tab {
  database: Database;
  outbox: Outbox;
  tabs: Tabs;
  sync: Sync;
  sending: Sending;
  clock: { now: number };
  timers: { run: () => void; ms: number }[];
  handIn(...ids: string[]): ReturnType<Sending["handIn"]>;
  states(): Record<string, string>;
}
export interface TabTools {
  name?: string;
  /** What the device remembers beside its disk. */
  shelf?: { text: string | null };
  spoil?: (database: Database) => Database;
}

/** Open a page of the device on the disk as it is; what was open before is gone as after a kill when it is not used again. */
export function openTab(service: Pick<Service, "handIn" | "changes">, { name = "tab", shelf = { text: null }, spoil = (one) => one }: TabTools = {}): Tab {
  const clock = { now: START_MS };
  const timers: Tab["timers"] = [];
  const database = spoil(databaseOf({ outdated: () => undefined, held: () => undefined }, "orchardmap", UPGRADES));
  const outbox = outboxOf(database);
  const tabs = tabsOf({}, database, name, () => clock.now);
  const sync = syncOf({
    api: service,
    outbox,
    tabs,
    now: () => clock.now,
    random: () => 0,
    skew: { get: () => skewIn(shelf.text), set: (skew) => (shelf.text = skewText(skew)) },
    later: (run, ms) => timers.push({ run, ms }),
    changed: () => undefined,
  });
  const sending = sendingOf(outbox, sync, () => new Date(clock.now++), () => undefined);
  return {
    database,
    outbox,
    tabs,
    sync,
    sending,
    clock,
    timers,
    handIn: (...ids) => sending.handIn("farm", { kind: "withdrawals", values: ids.map(withdrawal) }, { block: "b", row: ids.length }),
    states: () => Object.fromEntries(outbox.entries().map(({ id, state }) => [id, state])),
  };
}

/** Return what the disk holds, read past the outbox. */
export async function onDisk(): Promise<Record<string, string>> {
  const database = databaseOf({ outdated: () => undefined, held: () => undefined });
  const entries = await (await database.base()).getAll("outbox");
  database.close();
  return Object.fromEntries(entries.map(({ id, state }) => [id, state]));
}
