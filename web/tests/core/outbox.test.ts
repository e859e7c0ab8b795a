import { describe, expect, it } from "vitest";
import { courseAfter } from "../../src/core/course";
import {
  acknowledged,
  isOld,
  mayForget,
  namedIndices,
  nextBatch,
  notInLog,
  offeredAgain,
  queueFile,
  receiptsIn,
  refused,
  rolledBack,
  tally,
  waitingAgain,
  waitMs,
  type Entry,
} from "../../src/core/outbox";
import { randomOf } from "./seeded";

// the same file that `tests/cli/test_take_in_command.py` reads
const files = import.meta.glob<string>("../../../tests/cli/queue_file.json", { eager: true, import: "default", query: "?raw" });
const AT = "2026-01-12T09:00:00.000Z";
const DAY_MS = 86_400_000;
function entry(id: string, more: Partial<Entry> = {}): Entry {
  return {
    id,
    kind: "withdrawals",
    farmId: "farm",
    subject: { block: "b", row: 1 },
    record: { id, mark_id: "m", device_at: AT },
    schema: 2,
    made_at: AT,
    state: "waiting",
    reason: "",
    acked_at: null,
    acked_cursor: null,
    epoch: null,
    ...more,
  };
}
const heard = { at: AT, server_at: AT, cursor: 9, epoch: "e1" };

describe("what goes next", () => {
  it("is one kind of one farm and one wire version, marks first, oldest first, at most the batch", () => {
    const entries = [
      entry("w"),
      entry("m2", { kind: "marks", made_at: "2026-01-12T09:00:02.000Z" }),
      entry("m1", { kind: "marks", made_at: "2026-01-12T09:00:01.000Z" }),
      entry("old", { kind: "marks", schema: 1, made_at: "2026-01-12T09:00:03.000Z" }),
      entry("other", { kind: "marks", farmId: "other", made_at: "2026-01-12T09:00:04.000Z" }),
      entry("gone", { kind: "marks", state: "sent" }),
      entry("bad", { kind: "marks", state: "refused" }),
    ];
    expect(nextBatch(entries)?.entries.map(({ id }) => id)).toEqual(["m1", "m2"]);
    expect(nextBatch(entries, 1)?.entries.map(({ id }) => id)).toEqual(["m1"]);
    const rest = entries.filter(({ id }) => !id.startsWith("m"));
    expect(nextBatch(rest)).toMatchObject({ schema: 1, farmId: "farm" });
    expect(nextBatch([entry("w", { state: "set_aside" })])).toBeNull();
  });

  it("goes with those that were reckoned by the same clock before, to the second; what is new goes apart", () => {
    const entries = [entry("a", { acked_skew_s: 320.4 }), entry("b", { acked_skew_s: 319.6 }), entry("c", { acked_skew_s: 3 }), entry("new")];
    const sent: [number | null, string[]][] = [];
    for (let left = entries; left.length > 0; ) {
      const batch = nextBatch(left);
      sent.push([batch?.skew_s ?? null, batch?.entries.map(({ id }) => id) ?? []]);
      left = left.filter((one) => batch?.entries.includes(one) !== true);
    }
    expect(sent).toEqual([[320, ["a", "b"]], [3, ["c"]], [null, ["new"]]]);
  });
});

describe("what an answer changes", () => {
  it("only what it names by id", () => {
    const batch = [entry("a"), entry("b"), entry("c")];
    const receipts = [
      { id: "c", outcome: "set_aside" as const, reason: "no such row" },
      { id: "a", outcome: "already_there" as const, reason: "" },
      { id: "stranger", outcome: "taken" as const, reason: "" },
    ];
    const done = acknowledged(batch, receipts, heard);
    expect(done.map(({ id, state, reason }) => [id, state, reason])).toEqual([
      ["a", "sent", ""],
      ["c", "set_aside", "no such row"],
    ]);
    expect(done[0]).toMatchObject({ acked_at: AT, acked_server_at: AT, acked_cursor: 9, epoch: "e1" });
  });

  it("is believed only when it is one of the service's, and only for outcomes that are known here", () => {
    const good = { outcomes: [{ id: "a", outcome: "taken", reason: "" }], cursor: 4, epoch: "e1", server_at: AT, skew_s: 1 };
    expect(receiptsIn(good)).toEqual({ outcomes: good.outcomes, cursor: 4, epoch: "e1", server_at: AT });
    const foreign = [null, undefined, "ok", 1, [], {}, { ok: true }, { outcomes: {} }, { ...good, outcomes: null }, { ...good, cursor: "4" }, { ...good, epoch: 1 }];
    expect(foreign.map(receiptsIn)).toEqual(foreign.map(() => null));
    const odd = [null, "a", { outcome: "taken" }, { id: 1, outcome: "taken" }, { id: "b", outcome: "queued" }, { id: "c", outcome: "taken" }];
    expect(receiptsIn({ ...good, outcomes: odd, server_at: "yesterday" })).toEqual({
      outcomes: [{ id: "c", outcome: "taken", reason: "" }],
      cursor: 4,
      epoch: "e1",
    });
  });

  it("a refusal keeps the record", () => {
    expect(refused(entry("a"), "too long")).toMatchObject({ state: "refused", reason: "too long", record: { id: "a" } });
  });

  it("finds the records that a refusal names, in any of the forms of a path", () => {
    const named = namedIndices(["body.marks.3.row", "marks[0].first", "marks.3.last", "marks.9.row", "sent_at"], "marks", 5);
    expect([...named]).toEqual([
      [3, 0],
      [0, 1],
    ]);
    expect(namedIndices(["crew_days.1.hours"], "crew_days", 2).has(1)).toBe(true);
  });
});

describe("keeping", () => {
  it("forgets what was acknowledged 14 days ago, and nothing else ever", () => {
    const acked = { acked_at: AT, acked_server_at: AT, acked_cursor: 9, epoch: "e1" } as const;
    const entries = [
      entry("sent", { ...acked, state: "sent" }),
      entry("read", { ...acked, state: "set_aside", seen: true }),
      entry("unread", { ...acked, state: "set_aside" }),
      entry("waiting"),
      entry("refused", { state: "refused" }),
      entry("older page", { acked_at: AT, acked_cursor: 9, epoch: "e1", state: "sent" }),
    ];
    const after = (ms: number) => {
      const at = new Date(Date.parse(AT) + ms).toISOString();
      return mayForget(entries, "farm", { at, server_at: at, cursor: 9, epoch: "e1" });
    };
    expect(after(14 * DAY_MS)).toEqual([]);
    expect(after(14 * DAY_MS + 1)).toEqual(["sent", "read", "older page"]);
    expect(after(1_000 * DAY_MS)).toEqual(["sent", "read", "older page"]);
  });

  it("no jump of one clock, no service that may not hold it, and no silence lets anything go", () => {
    const random = randomOf(14);
    const some = (most: number) => Math.floor(random() * most);
    const shifted = (ms: number) => new Date(Date.parse(AT) + ms).toISOString();
    let gone = 0;
    for (let round = 0; round < 5_000; round += 1) {
      // true days since the acknowledgement, and how far either clock was off then and is off now
      const [days, cursor] = [some(60), some(20)];
      const off = { device: [0, 0], service: [0, 0] };
      const jumps = (["device", "service", "none"] as const)[some(3)] ?? "none";
      if (jumps !== "none") off[jumps] = [(some(2_000) - 1_000) * DAY_MS, (some(2_000) - 1_000) * DAY_MS];
      const told = { cursor: some(20), epoch: some(2) === 0 ? "e1" : "e2", farm: some(4) === 0 ? "other" : "farm", silent: some(5) === 0 };
      const one = entry("a", {
        state: some(2) === 0 ? "sent" : "set_aside",
        seen: true,
        acked_at: shifted(off.device[0] ?? 0),
        acked_server_at: shifted(off.service[0] ?? 0),
        acked_cursor: cursor,
        epoch: "e1",
      });
      const [device, service] = [days * DAY_MS + (off.device[1] ?? 0), days * DAY_MS + (off.service[1] ?? 0)];
      const forgotten = mayForget([one], told.farm, {
        at: shifted(device),
        server_at: told.silent ? null : shifted(service),
        cursor: told.cursor,
        epoch: told.epoch,
      });
      const backed = !told.silent && told.epoch === "e1" && told.farm === "farm" && told.cursor >= cursor;
      if (days <= 14 || !backed) expect(forgotten).toEqual([]);
      else if (jumps === "none") expect(forgotten).toEqual(["a"]);
      gone += forgotten.length;
    }
    expect(gone).toBeGreaterThan(100);
  });

  it("a saved file is what `orchardmap take-in` reads, to the letter", () => {
    const raw = Object.values(files)[0] ?? "";
    const { records, made_at, skew_s } = JSON.parse(raw) as { records: Entry[]; made_at: string; skew_s: number };
    expect(records).toHaveLength(9);
    expect(queueFile(records, made_at, skew_s)).toBe(raw);
  });

  it("keeps the clock of the first acknowledgement, whatever comes later", () => {
    const receipts = [{ id: "a", outcome: "taken" as const, reason: "" }];
    const [once] = acknowledged([entry("a")], receipts, { ...heard, skew_s: -864_000 });
    const again = waitingAgain(once ?? entry("a"));
    expect(again).toMatchObject({ state: "waiting", acked_skew_s: -864_000 });
    expect(acknowledged([again], receipts, { ...heard, skew_s: 5 })[0]).toMatchObject({ state: "sent", acked_skew_s: -864_000 });
    expect(acknowledged([entry("a")], receipts, heard)[0]).not.toHaveProperty("acked_skew_s");
  });

  it("a cursor that went back speaks of its own farm and its own epoch only", () => {
    const sent = { state: "sent", epoch: "e1", acked_cursor: 12 } as const;
    const entries = [entry("lost", sent), entry("held", { ...sent, acked_cursor: 9 }), entry("other farm", { ...sent, farmId: "other" }), entry("other epoch", { ...sent, epoch: "e0" })];
    expect(rolledBack(entries, "farm", heard).map(({ id }) => id)).toEqual(["lost"]);
  });

  it("a refused record goes anew as if nothing had been said to it", () => {
    const once = entry("a");
    const again = waitingAgain({ ...refused(once, "too long"), seen: true });
    expect(again).toEqual({ ...once, acked_server_at: null });
    expect(nextBatch([again])?.entries).toEqual([again]);
  });

  it("a new epoch has what was acknowledged under another one offered again", () => {
    const entries = [
      entry("old", { state: "sent", epoch: "e1", acked_at: AT, acked_cursor: 3 }),
      entry("aside", { state: "set_aside", epoch: "e1", acked_at: AT }),
      entry("new", { state: "sent", epoch: "e2" }),
      entry("refused", { state: "refused" }),
    ];
    const again = offeredAgain(entries, "e2");
    expect(again.map(({ id, state, acked_at }) => [id, state, acked_at])).toEqual([
      ["old", "waiting", null],
      ["aside", "waiting", null],
    ]);
  });

  it("a block's own records are those that its log cannot hold yet", () => {
    const entries = [
      entry("waiting"),
      entry("later", { state: "sent", acked_cursor: 8 }),
      entry("held", { state: "sent", acked_cursor: 7 }),
      entry("aside", { state: "set_aside", acked_cursor: 8 }),
      entry("elsewhere", { subject: { block: "c", row: 1 } }),
    ];
    expect(notInLog(entries, "b", { cursor: 7 }).map(({ id }) => id)).toEqual(["waiting", "later"]);
  });

  it("a cursor of another epoch says nothing of what is held, nor does another season's mark belong to the log", () => {
    const mark = (id: string, season_id: string) => ({ id, season_id, block_id: "b", row: 1, first: 1, last: 2, crew_id: "c", day: "2026-01-12", method: "ladder" as const, device_at: AT });
    const entries = [
      entry("same", { state: "sent", acked_cursor: 3, epoch: "e1" }),
      entry("other", { state: "sent", acked_cursor: 3, epoch: "e0" }),
      entry("now", { kind: "marks", record: mark("now", "s2") }),
      entry("before", { kind: "marks", record: mark("before", "s1") }),
    ];
    const ids = (read: Parameters<typeof notInLog>[2]) => notInLog(entries, "b", read).map(({ id }) => id);
    expect(ids({ cursor: 7, epoch: "e1", season_id: "s2" })).toEqual(["other", "now"]);
    expect(ids({ cursor: 7 })).toEqual(["now", "before"]);
  });

  it("counts what is not read yet, and knows what has waited long", () => {
    const entries = [entry("a"), entry("b", { state: "set_aside" }), entry("c", { state: "set_aside", seen: true }), entry("d", { state: "refused" })];
    const read = entry("e", { state: "refused", seen: true });
    expect(tally([...entries, read])).toEqual({ waiting: 1, setAside: 1, refused: 1, refusedSeen: 1, oldestWaiting: AT });
    expect(isOld(AT, Date.parse(AT) + 3 * DAY_MS)).toBe(false);
    expect(isOld(AT, Date.parse(AT) + 3 * DAY_MS + 1)).toBe(true);
  });
});

describe("waiting", () => {
  it("doubles from 2 s to 60 s, half of it by chance", () => {
    expect([1, 2, 3, 4, 5, 6, 7, 99].map((failures) => waitMs(failures, 0))).toEqual([
      2_000, 4_000, 8_000, 16_000, 32_000, 60_000, 60_000, 60_000,
    ]);
    expect(waitMs(1, 0.999)).toBeGreaterThanOrEqual(1_000);
    expect(waitMs(6, 0.5)).toBe(45_000);
  });

  it("never undercuts what the service asked for", () => {
    for (const random of [0, 0.5, 0.999]) expect(waitMs(1, random, 120)).toBeGreaterThanOrEqual(120_000);
    expect(waitMs(6, 0, 5)).toBe(60_000);
  });
});

describe("the course after a failure", () => {
  const after = (status: number, kind = "", retryAfter_s: number | null = null) => courseAfter({ status, kind, retryAfter_s });
  it.each([
    [401, "sign_in"],
    [403, "not_allowed"],
    [404, "not_allowed"],
    [426, "newer"],
    [429, "trouble"],
    [500, "trouble"],
    [503, "trouble"],
  ])("%i waits and keeps everything", (status, because) => {
    expect(after(status)).toEqual({ do: "wait", because, after_s: null });
  });
  it("tells a tablet whose pairing has ended from a session that has", () => {
    expect(after(401, "revoked-device")).toMatchObject({ because: "revoked" });
  });
  it.each(["unconfirmed", "no-password"])("tells a password that is asked for from what is not allowed: %s", (kind) => {
    expect(after(403, kind)).toMatchObject({ do: "wait", because: "unconfirmed" });
  });
  it("obeys Retry-After", () => expect(after(429, "", 30)).toMatchObject({ after_s: 30 }));
  it("no answer at all waits", () => expect(courseAfter(null)).toMatchObject({ because: "no_answer" }));
  it.each([
    [400, "record"],
    [422, "request"],
    [422, "record"],
    [413, "too-large"],
  ])("%i that speaks of the records looks for the bad one", (status, kind) => expect(after(status, kind)).toEqual({ do: "sift" }));
  it.each([
    [400, "other-host"],
    [400, ""],
    [405, "http"],
    [407, ""],
    [409, "conflict"],
    [410, "gone"],
    [421, ""],
    [431, ""],
    [451, ""],
  ])("%i (%s) refuses the request and not the records: they wait", (status, kind) => {
    expect(after(status, kind)).toEqual({ do: "wait", because: "trouble", after_s: null });
  });
});
