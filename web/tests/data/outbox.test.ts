import { beforeEach, describe, expect, it, vi } from "vitest";
import { openDB } from "idb";
import { refused } from "../../src/core/outbox";
import { databaseOf, UPGRADES } from "../../src/data/database";
import { freshDisk, noAnswer, onDisk, openTab, problem, serviceOf, spoilt, START_MS, withdrawal, withOwn, type Service } from "./device-kit";

const DAY_MS = 86_400_000;
let service: Service;
beforeEach(() => {
  freshDisk();
  service = serviceOf();
});

describe("a disk that refuses", () => {
  it("says NOT kept, sends all the same, and is done when the service acknowledges", async () => {
    const tab = openTab(service, { spoil: spoilt({ full: true }) });
    expect((await tab.handIn("a")).state).toBe("answered");
    expect(tab.outbox.trouble()).toBe("full");
    expect(tab.sending.unsafe()).toBe(0);
    expect([...service.stored.keys()]).toEqual(["a"]);
  });

  it("without a connection either, the record is only in memory and told as not safe, until the disk takes it", async () => {
    const disk = { full: true };
    const tab = openTab(service, { spoil: spoilt(disk) });
    service.state.always = () => {
      throw noAnswer();
    };
    expect((await tab.handIn("a")).state).toBe("not-sent");
    expect(tab.sending.unsafe()).toBe(1);
    expect(tab.sending.waitingFor("b")).toHaveLength(1);
    expect(await onDisk()).toEqual({});
    disk.full = false;
    await tab.outbox.reload();
    expect(tab.sending.unsafe()).toBe(0);
    expect(tab.sending.waitingFor("b")).toHaveLength(0);
    expect(await onDisk()).toEqual({ a: "waiting" });
    expect(tab.outbox.trouble()).toBeNull();
  });

  it("a record that only memory has and the service refuses is not called safe", async () => {
    const tab = openTab(service, { spoil: spoilt({ full: true }) });
    service.state.disturb.push(() => {
      throw problem(422, { kind: "record" });
    });
    expect((await tab.handIn("a")).state).toBe("refused");
    expect(tab.sending.unsafe()).toBe(1);
  });

  it("storage that is refused altogether is told apart from a full one", async () => {
    const tab = openTab(service, { spoil: spoilt({ full: true, name: "SecurityError" }) });
    await tab.handIn("a");
    expect(tab.outbox.trouble()).toBe("noStorage");
  });
});

describe("what is kept", () => {
  it("an acknowledged record goes after 14 days, one that waits never", async () => {
    const tab = openTab(service);
    await tab.handIn("sent");
    await tab.sync.kick();
    service.state.always = () => {
      throw noAnswer();
    };
    await tab.handIn("waiting");
    await tab.sync.kick();
    // a clock put weeks ahead: neither the page that notices nor the next one lets anything go
    tab.clock.now = START_MS + 60 * DAY_MS;
    await tab.outbox.reload();
    expect(await onDisk()).toEqual({ sent: "sent", waiting: "waiting" });
    service.state.always = null;
    await tab.sync.kick();
    expect(await onDisk()).toEqual({ sent: "sent", waiting: "sent" });
    // 15 days by both clocks, and the service's word in the acknowledgement of another record
    tab.clock.now = START_MS + 15 * DAY_MS;
    service.state.now = START_MS + 15 * DAY_MS;
    await tab.handIn("later");
    await tab.sync.kick();
    expect(Object.keys(await onDisk()).sort()).toEqual(["later", "waiting"]);
    expect(tab.states()).toEqual(await onDisk());
  });

  it("what could not be removed is removed another time", async () => {
    const disk = { full: false };
    const tab = openTab(service, { spoil: spoilt(disk) });
    await tab.handIn("old");
    await tab.sync.kick();
    const [old] = tab.sending.entries();
    tab.clock.now = service.state.now = START_MS + 15 * DAY_MS;
    disk.full = true;
    const at = new Date(tab.clock.now).toISOString();
    const heard = { at, server_at: at, cursor: old?.acked_cursor ?? 0, epoch: "e1" };
    await tab.outbox.forget("farm", heard);
    expect(tab.states()).toEqual({ old: "sent" });
    disk.full = false;
    await tab.outbox.forget("farm", heard);
    expect(await onDisk()).toEqual({});
  });

  it("a record whose last change the disk has not got yet is not removed", async () => {
    const disk = { full: false };
    const tab = openTab(service, { spoil: spoilt(disk) });
    await tab.handIn("old");
    await tab.sync.kick();
    const [old] = tab.sending.entries();
    if (old === undefined) throw new Error("nothing was kept");
    const at = new Date(START_MS + 15 * DAY_MS).toISOString();
    const heard = { at, server_at: at, cursor: old.acked_cursor ?? 0, epoch: "e1" };
    disk.full = true;
    await tab.outbox.change([{ ...old, seen: true }]);
    disk.full = false;
    await tab.outbox.forget("farm", heard);
    expect(await onDisk()).toEqual({ old: "sent" });
    await tab.outbox.reload();
    await tab.outbox.forget("farm", heard);
    expect([await onDisk(), tab.states()]).toEqual([{}, {}]);
  });

  it("a database deleted while the page is open is filled again from memory", async () => {
    const tab = openTab(service);
    service.state.always = () => {
      throw noAnswer();
    };
    await tab.handIn("a");
    await new Promise((done, fail) => {
      const deleting = indexedDB.deleteDatabase("orchardmap");
      deleting.onsuccess = done;
      deleting.onerror = fail;
    });
    await tab.outbox.reload();
    expect(tab.states()).toEqual({ a: "waiting" });
    expect(await onDisk()).toEqual({ a: "waiting" });
  });

  it("a record added while the others are read is not lost from sight", async () => {
    const tab = openTab(service);
    service.state.always = () => {
      throw noAnswer();
    };
    await Promise.all([tab.outbox.reload(), tab.handIn("a"), tab.outbox.reload(), tab.handIn("b"), tab.outbox.reload()]);
    expect(tab.states()).toEqual({ a: "waiting", b: "waiting" });
  });
});

describe("what changes meanwhile", () => {
  it("is not put back by what was read before", async () => {
    let [began, release] = [(): void => undefined, (): void => undefined];
    const reading = new Promise<void>((go) => (began = go));
    const held = new Promise<void>((go) => (release = go));
    let slow = false;
    const tab = openTab(service, {
      spoil: (database) => ({
        ...database,
        async base() {
          const base = await database.base();
          if (!slow) return base;
          return withOwn(base, "getAll", async () => {
            const read = await base.getAll("outbox");
            began();
            await held;
            return read;
          });
        },
      }),
    });
    await tab.handIn("a");
    slow = true;
    const reload = tab.outbox.reload();
    await reading;
    await tab.outbox.change(tab.outbox.entries().map((entry) => refused(entry, "too long")));
    release();
    await reload;
    expect(tab.states()).toEqual({ a: "refused" });
  });

  it("is written although an earlier state of it was just being written", async () => {
    const disk = { full: false };
    let meanwhile: (() => Promise<boolean>) | null = null;
    let second: Promise<boolean> | null = null;
    const tab = openTab(service, {
      spoil: (database) => ({
        ...database,
        async base() {
          const base = await spoilt(disk)(database).base();
          return withOwn(base, "transaction", (...all: never[]) => {
            const step: unknown = (base.transaction as (...all: never[]) => unknown)(...all);
            if (meanwhile !== null) {
              disk.full = true;
              second = meanwhile();
              meanwhile = null;
            }
            return step;
          });
        },
      }),
    });
    await tab.handIn("a");
    const [once] = tab.outbox.entries();
    if (once === undefined) throw new Error("nothing was kept");
    meanwhile = () => tab.outbox.change([refused(once, "second")]);
    expect(await tab.outbox.change([refused(once, "first")])).toBe(true);
    expect(await second).toBe(false);
    disk.full = false;
    await tab.outbox.reload();
    expect(tab.outbox.entries()[0]?.reason).toBe("second");
    await tab.outbox.reload(); // as the disk has it
    expect(tab.outbox.entries()[0]?.reason).toBe("second");
  });
});

describe("upgrades of the database", () => {
  const hears = { outdated: () => undefined, held: () => undefined };
  const keep = async (id: string): Promise<void> => {
    const tab = openTab(service);
    service.state.always = () => {
      throw noAnswer();
    };
    await tab.handIn(id);
    tab.database.close();
  };

  it("one that fails leaves the store before it readable and writable", async () => {
    await keep("a");
    const fails = databaseOf(hears, "orchardmap", [...UPGRADES, () => { throw new Error("a mistake in the upgrade"); }]);
    const base = await fails.base();
    expect(base.version).toBe(UPGRADES.length);
    expect((await base.getAll("outbox")).map(({ id }) => id)).toEqual(["a"]);
    await base.put("settings", 1, "still writable");
    base.close();
  });

  it.each([1])("from version %i, as tablets have it, all that waits is there, and the blocks too", async (version) => {
    const before = databaseOf(hears, "orchardmap", UPGRADES.slice(0, version));
    const ids = Array.from({ length: 200 }, (_, n) => `r${String(n).padStart(3, "0")}`);
    const old = await before.base();
    for (const id of ids) await old.put("outbox", { id, state: "waiting", record: withdrawal(id) } as never);
    await old.put("packs", { id: "b1", farmId: "f" } as never);
    before.close();
    // killed in the middle: nothing of it has happened
    const killed = databaseOf(hears, "orchardmap", UPGRADES.map((upgrade, at) => (base, step) => {
      upgrade(base, step);
      if (at > 0) step.abort();
    }));
    expect([(await killed.base()).version, await (await killed.base()).count("outbox")]).toEqual([version, 200]);
    killed.close();
    const base = await databaseOf(hears, "orchardmap").base();
    expect([base.version, await base.getAllKeys("outbox"), await base.getAllKeys("packs")]).toEqual([UPGRADES.length, ids, ["b1"]]);
    expect(await base.getAllKeys("pictures")).toEqual([]);
    base.close();
  });

  it("one that goes through keeps what waits", async () => {
    await keep("a");
    const next = databaseOf(hears, "orchardmap", [...UPGRADES, (base) => void base.createObjectStore("more" as "settings")]);
    const base = await next.base();
    expect(base.version).toBe(UPGRADES.length + 1);
    expect((await base.getAll("outbox")).map(({ id }) => id)).toEqual(["a"]);
    base.close();
  });

  it("an older tab that does not let go is told of until it has", async () => {
    const stubborn = await openDB("orchardmap", UPGRADES.length);
    const told: boolean[] = [];
    const next = databaseOf({ ...hears, held: (isHeld) => told.push(isHeld) }, "orchardmap", [...UPGRADES, () => undefined]);
    const opening = next.base();
    await vi.waitFor(() => expect(told).toEqual([true]));
    stubborn.close();
    expect((await opening).version).toBe(UPGRADES.length + 1);
    expect(told).toEqual([true, false]);
    next.close();
  });

  it("an older page lets a newer one upgrade, says so, and still reaches its records", async () => {
    let told = 0;
    const older = databaseOf({ ...hears, outdated: () => (told += 1) }, "orchardmap", UPGRADES);
    await (await older.base()).put("outbox", { id: "a", state: "waiting", record: withdrawal("a") } as never);
    const newer = await openDB("orchardmap", UPGRADES.length + 1, { upgrade: (base) => void base.createObjectStore("more") });
    expect(told).toBe(1);
    expect((await (await older.base()).getAll("outbox")).map(({ id }) => id)).toEqual(["a"]);
    newer.close();
    older.close();
  });
});
