import { beforeEach, describe, expect, it } from "vitest";
import type { Check, Receipts } from "../../src/core/contracts";
import { freshDisk, noAnswer, onDisk, openTab, problem, serviceOf, spoilt, type Service, type Tab } from "./device-kit";

let service: Service;
beforeEach(() => {
  freshDisk();
  service = serviceOf();
});

/** Hand in a record after the sender has looked for the last time, and before it has stopped. */
function handInLate(tab: Tab): void {
  let late: Promise<unknown> | null = null;
  const alone = tab.tabs.alone;
  tab.tabs.alone = (job) =>
    alone(async () => {
      await job();
      late ??= tab.handIn("late");
      await late;
    });
}
const check = (id: string): Check => ({
  id, season_id: "s", block_id: "b", row: 1, position: 1, day: "2026-01-12", verdict: "meets", drawn: false, device_at: "2026-01-12T09:00:00.000Z",
});

describe("sending what waits", () => {
  it("is on disk before it is sent, and done when the acknowledgement names its id", async () => {
    const tab = openTab(service);
    let seen: Record<string, string> = {};
    service.state.disturb.push(async (_ids, commit) => {
      seen = await onDisk();
      return commit();
    });
    expect(await tab.handIn("a", "b")).toEqual({ state: "kept" });
    await tab.sync.kick();
    expect(seen).toEqual({ a: "waiting", b: "waiting" });
    expect(await onDisk()).toEqual({ a: "sent", b: "sent" });
    expect(tab.sending.entries()[0]).toMatchObject({ acked_cursor: 2, epoch: "e1" });
  });

  it("a lost answer has it sent again with the same id; the service has it once", async () => {
    const tab = openTab(service);
    service.state.disturb.push((_ids, commit) => {
      commit();
      throw noAnswer();
    });
    await tab.handIn("a");
    await tab.sync.kick();
    expect(tab.states()).toEqual({ a: "waiting" });
    expect(tab.sync.standing().because).toBe("no_answer");
    await tab.sync.kick();
    expect(service.uploads).toEqual([["a"], ["a"]]);
    expect([...service.stored.keys()]).toEqual(["a"]);
    expect(tab.states()).toEqual({ a: "sent" });
  });

  it("an answer that names only some leaves the others waiting, and they go again", async () => {
    const tab = openTab(service);
    service.state.disturb.push((_ids, commit) => {
      const all = commit();
      return { ...all, outcomes: all.outcomes.slice(0, 1) };
    });
    await tab.handIn("a", "b");
    await tab.sync.kick();
    expect(service.uploads).toEqual([["a", "b"], ["b"]]);
    expect(tab.states()).toEqual({ a: "sent", b: "sent" });
  });

  it("an answer that names none is not asked for for ever", async () => {
    const tab = openTab(service);
    service.state.always = () => ({ outcomes: [], cursor: 1, epoch: "e1" });
    await tab.handIn("a");
    await tab.sync.kick();
    expect(service.uploads).toHaveLength(1);
    expect(tab.states()).toEqual({ a: "waiting" });
    expect(tab.timers.at(-1)?.ms).toBe(2_000);
  });

  it.each([
    ["no outcomes", { ok: true }, "no_answer"],
    ["another device's records", { outcomes: [{ id: "z", outcome: "taken", reason: "" }], cursor: 0, epoch: "e9" }, "trouble"],
  ])("JSON with %s acknowledges nothing, brings nothing back, and is tried again", async (_what, answer, because) => {
    const tab = openTab(service);
    await tab.handIn("a");
    await tab.sync.kick();
    service.state.disturb.push(() => answer as never);
    await tab.handIn("b");
    await tab.sync.kick();
    expect(tab.states()).toEqual({ a: "sent", b: "waiting" });
    expect(tab.sync.standing().because).toBe(because);
    await tab.sync.kick();
    expect(service.uploads).toEqual([["a"], ["b"], ["b"]]);
    expect(tab.states()).toEqual({ a: "sent", b: "sent" });
  });

  it("what is too much for the way goes in smaller uploads, and costs no record its place", async () => {
    const tab = openTab(service);
    service.state.always = (ids, commit) => {
      if (ids.length > 20) throw noAnswer(); // such as a proxy that answers 413 with a page of its own
      return commit();
    };
    await tab.handIn(...Array.from({ length: 150 }, (_, at) => `r${String(at).padStart(3, "0")}`));
    for (let go = 0; go < 30; go += 1) await tab.sync.kick();
    expect(service.stored.size).toBe(150);
    expect(new Set(Object.values(tab.states()))).toEqual(new Set(["sent"]));
  });

  it("what is handed in while the last upload is answered goes too, without another trigger", async () => {
    const tab = openTab(service);
    handInLate(tab);
    await tab.handIn("a");
    await tab.sync.kick();
    expect(tab.states()).toEqual({ a: "sent", late: "sent" });
  });

  it("what is handed in meanwhile goes too while another kind is held up", async () => {
    const tab = openTab({
      ...service,
      handIn: async (farm, records, sentAt) => {
        if (records.kind === "checks") throw problem(403);
        return service.handIn(farm, records, sentAt);
      },
    });
    handInLate(tab);
    await tab.sending.handIn("farm", { kind: "checks", values: [check("k")] }, { block: "b", row: 1 });
    await tab.sync.kick();
    expect(tab.states()).toEqual({ k: "waiting", late: "sent" });
  });

  it("a page killed between disk and sending finds the record when it is opened again", async () => {
    service.state.always = () => new Promise(() => undefined); // the service hangs, and the page dies waiting
    const killed = openTab(service);
    await killed.handIn("a");
    service.state.always = null;
    const opened = openTab(service, { name: "other" });
    opened.clock.now += 31_000; // the dead page's lease has run out
    await opened.outbox.reload();
    expect(opened.states()).toEqual({ a: "waiting" });
    await opened.sync.kick();
    expect(opened.states()).toEqual({ a: "sent" });
  });

  it("goes in uploads of at most 200, smaller ones after one that was not answered", async () => {
    const tab = openTab(service);
    service.state.disturb.push(() => {
      throw noAnswer();
    });
    await tab.handIn(...Array.from({ length: 450 }, (_, at) => `r${String(at).padStart(3, "0")}`));
    await tab.sync.kick();
    await tab.sync.kick();
    expect(service.uploads.map(({ length }) => length)).toEqual([200, 100, 110, 120, 120]);
    expect(service.stored.size).toBe(450);
  });
});

describe("what the service will not take", () => {
  it("the records that a 422 names are refused and kept, the rest is sent", async () => {
    const tab = openTab(service);
    service.state.disturb.push(() => {
      throw problem(422, { kind: "request", fields: ["withdrawals.1.mark_id"] });
    });
    await tab.handIn("a", "bad", "c");
    await tab.sync.kick();
    expect(await onDisk()).toEqual({ a: "sent", bad: "refused", c: "sent" });
    expect(tab.sending.entries().find(({ id }) => id === "bad")?.reason).toBe("withdrawals.1.mark_id is bad");
    await tab.sync.kick();
    expect(service.uploads.flat().filter((id) => id === "bad")).toHaveLength(1);
  });

  it("a 4xx that names nothing is found by halves", async () => {
    const tab = openTab(service);
    service.state.always = (ids, commit) => {
      if (ids.includes("r13")) throw problem(422, { kind: "record" });
      return commit();
    };
    await tab.handIn(...Array.from({ length: 20 }, (_, at) => `r${String(at).padStart(2, "0")}`));
    await tab.sync.kick();
    const states = tab.states();
    expect(states["r13"]).toBe("refused");
    expect(Object.values(states).filter((state) => state === "sent")).toHaveLength(19);
  });
});

describe("a way in that has ended", () => {
  it.each([
    [problem(401), "sign_in"],
    [problem(401, { kind: "revoked-device" }), "revoked"],
    [problem(426), "newer"],
    [problem(403), "not_allowed"],
    [problem(503), "trouble"],
  ] as const)("%s keeps everything, and it goes once that is mended", async (trouble, because) => {
    const tab = openTab(service);
    service.state.disturb.push(() => {
      throw trouble;
    });
    await tab.handIn("a");
    await tab.sync.kick();
    expect(tab.sync.standing().because).toBe(because);
    expect(await onDisk()).toEqual({ a: "waiting" });
    await tab.sync.kick();
    expect(tab.states()).toEqual({ a: "sent" });
    expect(tab.sync.standing().because).toBeNull();
  });

  it("Retry-After is obeyed by every trigger", async () => {
    const tab = openTab(service);
    service.state.disturb.push(() => {
      throw problem(429, { after: 30 });
    });
    await tab.handIn("a");
    await tab.sync.kick();
    await tab.sync.kick();
    await tab.sync.kick();
    expect(service.uploads).toHaveLength(1);
    tab.clock.now += 30_001;
    await tab.sync.kick();
    expect(tab.states()).toEqual({ a: "sent" });
  });

  it("a clock set back ends a pause, it does not stretch it", async () => {
    const tab = openTab(service);
    service.state.disturb.push(() => {
      throw problem(429, { after: 30 });
    });
    await tab.handIn("a");
    await tab.sync.kick();
    tab.clock.now -= 30 * 86_400_000;
    await tab.sync.kick();
    expect(tab.states()).toEqual({ a: "sent" });
  });

  it("a lease taken under a clock that was ahead holds nobody up", async () => {
    const ahead = openTab(service, { name: "dead" });
    ahead.clock.now += 30 * 86_400_000;
    service.state.always = () => new Promise(() => undefined); // the page dies while it sends
    await ahead.handIn("a");
    service.state.always = null;
    const tab = openTab(service, { name: "alive" });
    await tab.sync.kick();
    expect(tab.states()).toEqual({ a: "sent" });
  });

  it("a farm that it may not send for holds up no other", async () => {
    const tab = openTab({
      ...service,
      handIn: async (farm, records, sentAt) => {
        if (farm === "shut") throw problem(403);
        return service.handIn(farm, records, sentAt);
      },
    });
    const records = (id: string) => ({ kind: "withdrawals" as const, values: [{ id, mark_id: "m", device_at: "x" }] });
    await tab.sending.handIn("shut", records("a"), { block: "b", row: 1 });
    await tab.sync.kick();
    await tab.sending.handIn("farm", records("b"), { block: "b", row: 1 });
    await tab.sync.kick();
    expect(tab.states()).toEqual({ a: "waiting", b: "sent" });
  });
});

describe("a kind that this device may not send", () => {
  /** A service that refuses withdrawals as long as it is told to. */
  const refusing = (refusal: { as: Error | null }): Pick<Service, "handIn" | "changes"> => ({
    ...service,
    handIn: async (farm, records, sentAt) => {
      if (records.kind === "withdrawals" && refusal.as !== null) throw refusal.as;
      return service.handIn(farm, records, sentAt);
    },
  });

  it.each([
    ["not_allowed", problem(403)],
    ["unconfirmed", problem(403, { kind: "unconfirmed" })],
  ] as const)("holds up no other kind; it is still said (%s), and goes once that is mended, in its order", async (because, as) => {
    const refusal: { as: Error | null } = { as };
    const tab = openTab(refusing(refusal));
    await tab.handIn("w1", "w2");
    await tab.sending.handIn("farm", { kind: "checks", values: [check("k")] }, { block: "b", row: 1 });
    await tab.sync.kick();
    expect(tab.states()).toEqual({ w1: "waiting", w2: "waiting", k: "sent" });
    expect(tab.sync.standing().because).toBe(because);
    refusal.as = null;
    await tab.sync.kick();
    expect(service.uploads).toEqual([["k"], ["w1", "w2"]]);
    expect(tab.sync.standing().because).toBeNull();
  });
});

it("of two kinds that are held up, the reason of the first is said", async () => {
  const tab = openTab({
    ...service,
    handIn: async (_farm, { kind }) => {
      throw kind === "withdrawals" ? problem(403) : problem(403, { kind: "unconfirmed" });
    },
  });
  await tab.handIn("w");
  await tab.sending.handIn("farm", { kind: "checks", values: [check("k")] }, { block: "b", row: 1 });
  await tab.sync.kick();
  expect(tab.sync.standing().because).toBe("not_allowed");
});

describe("a record that the service falls over", () => {
  const names = (n: number): string[] => Array.from({ length: n }, (_, at) => `r${String(at).padStart(2, "0")}`);
  const failsOn = (bad: string, as = problem(500)) => (ids: string[], commit: () => Receipts): Receipts => {
    if (ids.includes(bad)) throw as;
    return commit();
  };

  it("is found by halves after some tries, left for later and never refused; all others go", async () => {
    const tab = openTab(service);
    service.state.always = failsOn("r13");
    await tab.handIn(...names(40));
    for (let go = 0; go < 3; go += 1) await tab.sync.kick();
    expect(service.stored.size).toBe(39);
    expect(tab.states()["r13"]).toBe("waiting");
    expect(tab.sync.standing().because).toBe("trouble");
    const uploads = service.uploads.length;
    await tab.sync.kick(); // not yet
    await tab.handIn("new");
    await tab.sync.kick();
    expect(service.uploads.slice(uploads)).toEqual([["new"]]);
    // its time is up, and the service has been mended
    expect(tab.timers.at(-1)?.ms).toBeGreaterThan(59_000);
    service.state.always = null;
    tab.clock.now += 60_000;
    await tab.sync.kick();
    expect(tab.states()["r13"]).toBe("sent");
    expect(tab.sync.standing().because).toBeNull();
  });

  it("does not hide a second one: what goes between them shows that the service works", async () => {
    const tab = openTab(service);
    service.state.always = (ids, commit) => failsOn("r13")(ids, () => failsOn("r30")(ids, commit));
    await tab.handIn(...names(40));
    for (let go = 0; go < 3; go += 1) await tab.sync.kick();
    expect(service.stored.size).toBe(38);
  });

  it("a failure now and then cuts no upload, before a search or after one", async () => {
    const tab = openTab(service);
    const fail = (): never => {
      throw problem(500);
    };
    const handInFailing = async (failures: number, ...ids: string[]): Promise<number[]> => {
      const before = service.uploads.length;
      service.state.disturb.push(...Array.from({ length: failures }, () => fail));
      await tab.handIn(...ids);
      for (let go = 0; go < 4; go += 1) await tab.sync.kick();
      return service.uploads.slice(before).map(({ length }) => length);
    };
    for (const at of [1, 2, 3]) expect(await handInFailing(1, `a${at}`, `b${at}`)).toEqual([2, 2]);
    expect(await handInFailing(3, "a4", "b4")).toEqual([2, 2, 2, 1, 1]);
    expect(await handInFailing(1, "a5", "b5")).toEqual([2, 2]);
  });

  it("a service that fails on everything is not asked record by record", async () => {
    const tab = openTab(service);
    service.state.always = () => {
      throw problem(500);
    };
    await tab.handIn(...names(40));
    for (let go = 0; go < 3; go += 1) await tab.sync.kick();
    expect(service.uploads.length).toBeLessThan(14);
    expect(new Set(Object.values(tab.states()))).toEqual(new Set(["waiting"]));
  });

  it.each([
    ["says that it serves nobody now", problem(503)],
    ["asks to wait", problem(500, { after: 30 })],
  ])("a service that %s is waited for with all of it", async (_what, as) => {
    const tab = openTab(service);
    service.state.always = failsOn("r13", as);
    await tab.handIn(...names(40));
    for (let go = 0; go < 6; go += 1) {
      tab.clock.now += 60_000;
      await tab.sync.kick();
    }
    expect(new Set(service.uploads.map(({ length }) => length))).toEqual(new Set([40]));
  });
});

describe("this device's clock", () => {
  const DAY_S = 86_400;

  it("as heard last is known to the page after it, with when that was; what is made there carries it", async () => {
    const shelf = { text: null };
    const before = openTab(service, { shelf });
    before.clock.now += 10 * DAY_S * 1_000;
    await before.handIn("a");
    await before.sync.kick();
    const heard_at = new Date(before.clock.now).toISOString();
    const after = openTab(service, { name: "after", shelf });
    expect(after.sync.standing().skew_s).toBeNull();
    expect(after.sync.standing().known).toMatchObject({ heard_at });
    expect(after.sync.standing().known?.skew_s).toBeCloseTo(10 * DAY_S, 0);
    await after.handIn("b");
    expect(after.sending.entries().find(({ id }) => id === "b")?.skew_s).toBeCloseTo(10 * DAY_S, 0);
    expect(before.sending.entries().find(({ id }) => id === "a")).not.toHaveProperty("skew_s");
  });

  it("mended before a put-back service is offered records again changes nothing of how they are reckoned", async () => {
    const tab = openTab(service);
    tab.clock.now -= 10 * DAY_S * 1_000;
    await tab.handIn("a");
    await tab.sync.kick();
    const skew = (at: number): number => Math.round((Date.parse(service.sentAts[at] ?? "") - service.state.now) / 1_000);
    expect(skew(0)).toBe(-10 * DAY_S);
    service.stored.clear();
    service.state.epoch = "e2";
    tab.clock.now = service.state.now += 2 * DAY_S * 1_000;
    await tab.sync.heardEpoch("e2");
    await tab.sync.kick();
    expect(Math.round(tab.sync.standing().skew_s ?? NaN)).toBe(0);
    await tab.handIn("b");
    await tab.sync.kick();
    const said = Object.fromEntries(service.uploads.map((ids, at) => [ids.join(), skew(at)]));
    expect(service.uploads).toEqual([["a"], ["a"], ["b"]]);
    expect(said).toEqual({ a: -10 * DAY_S, b: 0 });
  });
});

describe("a service brought back from an older copy", () => {
  it("a database put back under the same epoch is offered what it lost, once its cursor gives it away", async () => {
    const tab = openTab(service);
    await tab.handIn("a", "b", "c");
    await tab.sync.kick();
    const older = new Map([...service.stored].slice(0, 1));
    service.stored.clear();
    for (const [id, value] of older) service.stored.set(id, value);
    service.state.cursor = 1;
    await tab.handIn("d");
    await tab.sync.kick();
    expect([...service.stored.keys()].sort()).toEqual(["a", "b", "c", "d"]);
    expect(new Set(Object.values(tab.states()))).toEqual(new Set(["sent"]));
  });

  it("is offered everything of the last 14 days again", async () => {
    const tab = openTab(service);
    await tab.handIn("a", "b");
    await tab.sync.kick();
    service.stored.clear();
    service.state.epoch = "e2";
    await tab.handIn("c");
    await tab.sync.kick();
    expect([...service.stored.keys()].sort()).toEqual(["a", "b", "c"]);
    expect(tab.sending.entries().every((entry) => entry.state === "sent" && entry.epoch === "e2")).toBe(true);
  });

  it("a new epoch heard while the disk refuses is heard again by the page after it", async () => {
    const disk = { full: false };
    const killed = openTab(service, { spoil: spoilt(disk) });
    await killed.handIn("a", "b");
    await killed.sync.kick();
    service.stored.clear();
    disk.full = true;
    await killed.sync.heardEpoch("e2");
    expect(killed.states()).toEqual({ a: "waiting", b: "waiting" });
    expect(await onDisk()).toEqual({ a: "sent", b: "sent" });
    const opened = openTab(service, { name: "next" });
    await opened.outbox.reload();
    service.state.epoch = "e2";
    await opened.sync.heardEpoch("e2");
    await opened.sync.kick();
    expect([...service.stored.keys()].sort()).toEqual(["a", "b"]);
  });

  it("what a put-back database lost and what it acknowledges now are on disk together or not at all", async () => {
    const disk = { full: false };
    const killed = openTab(service, { spoil: spoilt(disk) });
    await killed.handIn("a", "b", "c");
    await killed.sync.kick();
    service.stored.clear();
    service.state.cursor = 0;
    await killed.handIn("d");
    disk.full = true; // from here on the page acts, and nothing of it is kept
    service.state.disturb.push((_ids, commit) => commit());
    service.state.always = () => {
      throw noAnswer();
    };
    await killed.sync.kick();
    expect(killed.states()).toEqual({ a: "waiting", b: "waiting", c: "waiting", d: "sent" });
    expect(await onDisk()).toEqual({ a: "sent", b: "sent", c: "sent", d: "waiting" });
    disk.full = false; // room again: the next write of any kind carries along what the disk was owed
    await killed.handIn("e");
    expect(await onDisk()).toEqual({ a: "waiting", b: "waiting", c: "waiting", d: "sent", e: "waiting" });
  });
});

describe("several tabs", () => {
  it("one sends what both have, each record once", async () => {
    const [first, second] = [openTab(service, { name: "one" }), openTab(service, { name: "two" })];
    let [release, begun] = [(): void => undefined, (): void => undefined];
    const held = new Promise<void>((go) => (release = go));
    const sending = new Promise<void>((go) => (begun = go));
    service.state.disturb.push(async (_ids, commit) => {
      begun();
      await held;
      return commit();
    });
    await first.handIn("a");
    await sending;
    await second.handIn("b");
    await second.sync.kick(); // the first is at it: nothing goes twice
    expect(service.uploads).toEqual([["a"]]);
    release();
    await first.sync.kick();
    await second.sync.kick();
    expect(service.uploads.flat().sort()).toEqual(["a", "b"]);
    await Promise.all([first.outbox.reload(), second.outbox.reload()]);
    expect(first.states()).toEqual({ a: "sent", b: "sent" });
    expect(second.states()).toEqual(first.states());
  });
});
