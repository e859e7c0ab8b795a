import { beforeEach, describe, expect, it } from "vitest";
import type { BlockPack, BlockSummary, Changes, Farm, Overview, Season, Who } from "../../src/core/contracts";
import { notInLog, type Entry } from "../../src/core/outbox";
import type { Api } from "../../src/data/api";
import { databaseOf } from "../../src/data/database";
import { groundedApi } from "../../src/data/grounded";
import { groundOf, type Ground } from "../../src/data/ground";
import { freshDisk, noAnswer, problem, START_MS } from "./device-kit";

const NAME = "Ada Quern";
const summary = (id: string): BlockSummary => ({ id, code: id, pruned: 0, trees: 10, shape_version: "v1" }) as BlockSummary;
const pack = (id: string, cursor: number): BlockPack => ({
  summary: summary(id),
  shape: { id, version: "v1", rows: [] },
  log: { id, season_id: "s", cursor, epoch: "e1", crews: [], marks: [], settlements: [] },
  state: { id, day: "2026-01-12", cursor, crews: [], runs: [], checks: [["c", 1, 1, "meets", "2026-01-12", NAME, "", true]], closed: null },
});
const season = (id: string, opens_on: string): Season => ({ id, name: id, opens_on, must_finish_on: "2027-04-01", closed: false });
const farm = { id: "f", name: "Ottlemere", time_zone: "Europe/London", today: "2026-01-12", people: [{ name: NAME }], crews: [], seasons: [season("s", "2025-12-01")] } as unknown as Farm;
const who: Who = {
  state: "device", name: NAME, login: null, makes_farms: false,
  farms: [{ id: "f", name: "Ottlemere", time_zone: "Europe/London", today: "2026-01-12", role: "foreman", crew_id: "c1" }],
  device: { id: "d", name: "Tablet 3", farm_id: "f", role: "foreman", crew_id: "c1", holder: { id: "p", name: NAME } },
  epoch: "e1", version: "1",
};

/** A service of two blocks; `asked` lists the packs that were fetched. */
function serviceOf() {
  const state = { epoch: "e1", cursor: 5, touched: [] as string[], off: null as Error | null, asked: [] as string[][], hang: false };
  const answer = async <Value>(value: () => Value): Promise<Value> => {
    if (state.hang) await new Promise(() => undefined);
    if (state.off !== null) throw state.off;
    return value();
  };
  const api = {
    who: () => answer(() => who),
    farm: () => answer(() => farm),
    overview: () => answer((): Overview => ({ farm_id: "f", day: "2026-01-12", season_id: "s", cursor: state.cursor, epoch: state.epoch, blocks: [summary("b1"), summary("b2")] }) as Overview),
    packs: (_farm: string, blocks: readonly string[]) =>
      answer(() => {
        state.asked.push([...blocks]);
        return { epoch: state.epoch, cursor: state.cursor, made_at: new Date(START_MS).toISOString(), blocks: blocks.map((id) => pack(id, state.cursor)) };
      }),
    changes: (_farm: string, after: number) =>
      answer((): Changes => {
        const changes = after < state.cursor ? state.touched.map((block_id) => ({ seq: state.cursor, kind: "mark", subject_id: "m", block_id, row: 1 })) : [];
        return { changes, cursor: state.cursor, epoch: state.epoch };
      }),
    shape: (id: string) => answer(() => pack(id, 1).shape),
    state: (id: string) => answer(() => pack(id, state.cursor).state),
    log: (id: string) => answer(() => pack(id, state.cursor).log),
    marks: () => answer(() => ({ marks: [] })),
  };
  return { api: api as unknown as Api, state };
}
let service: ReturnType<typeof serviceOf>;
let now = START_MS;
const epochs: string[] = [];
const open = async (): Promise<Ground> => {
  const database = databaseOf({ outdated: () => undefined, held: () => undefined });
  const ground = groundOf({ api: service.api, database, now: () => now, heardEpoch: async (epoch) => void epochs.push(epoch) });
  await ground.open();
  return ground;
};
beforeEach(() => {
  freshDisk();
  service = serviceOf();
  now = START_MS;
  epochs.length = 0;
});

describe("taking blocks along", () => {
  it("fetches every block of a small farm once, later only what changed, and knows the age of each", async () => {
    const ground = await open();
    await ground.refresh("f", []);
    expect(service.state.asked).toEqual([["b1", "b2"]]);
    expect(ground.isHere("b2")).toBe(true);
    service.state.cursor = 6;
    service.state.touched = ["b2"];
    now += 600_000;
    await ground.refresh("f", []);
    expect(service.state.asked.slice(1)).toEqual([["b2"]]);
    // untouched up to now, so as fresh as if fetched now
    expect(ground.packAge("b1")).toBe(new Date(now).toISOString());
    await ground.refresh("f", []);
    expect(service.state.asked).toHaveLength(2);
  });

  it("fetches everything anew after a new epoch, and passes the epoch on", async () => {
    const ground = await open();
    await ground.refresh("f", []);
    service.state.epoch = "e2";
    service.state.cursor = 2;
    await ground.refresh("f", []);
    expect(service.state.asked.at(-1)).toEqual(["b1", "b2"]);
    expect(epochs).toContain("e2");
    expect((await ground.block("b1"))?.log.cursor).toBe(2);
  });

  it("a block asked for by hand is fetched at once, and kept fresh from then on", async () => {
    const ground = await open();
    let told = 0;
    ground.listen(() => (told += 1));
    await ground.fetchAhead("f", ["b2"]);
    expect([ground.packAge("b2"), ground.isHere("b1"), told]).toEqual([new Date(START_MS).toISOString(), false, 1]);
    service.state.off = noAnswer();
    await expect(ground.fetchAhead("f", ["b1"])).rejects.toMatchObject({ name: "NoAnswer" });
    expect(ground.isHere("b1")).toBe(false);
  });

  it("is still there, with its age, when the page is opened again", async () => {
    await (await open()).refresh("f", []);
    service.state.off = noAnswer();
    const ground = await open();
    expect(ground.isHere("b1")).toBe(true);
    expect(ground.packAge("b1")).toBe(new Date(START_MS).toISOString());
    expect(ground.isHere("gone")).toBe(false);
  });
});

/** Every value in the database, as text. */
async function wholeDisk(): Promise<string> {
  const database = databaseOf({ outdated: () => undefined, held: () => undefined });
  const base = await database.base();
  const all = await Promise.all((["outbox", "packs", "farm", "settings"] as const).map((store) => base.getAll(store)));
  database.close();
  return JSON.stringify(all);
}

describe("reading", () => {
  const grounded = (ground: Ground, ages: (string | null)[] = [], patience_ms = 20) =>
    groundedApi({
      api: service.api, ground, now: () => now, read: ({ asOf }) => ages.push(asOf), pendingFor: () => [], fold: async (state) => state, patience_ms,
    });

  it("opens from cold without the service: who, farm with today's day, overview, block", async () => {
    const before = grounded(await open());
    await before.who();
    await before.farm("f");
    await (await open()).refresh("f", []);
    service.state.off = noAnswer();
    now += 86_400_000;
    const ages: (string | null)[] = [];
    const api = grounded(await open(), ages);
    expect(await api.who()).toMatchObject({ state: "device", device: { role: "foreman", crew_id: "c1" }, farms: [{ today: "2026-01-13" }] });
    expect((await api.farm("f")).today).toBe("2026-01-13");
    expect((await api.overview("f", "2026-01-13")).blocks).toHaveLength(2);
    expect((await api.shape("b1", "v1")).version).toBe("v1");
    expect((await api.state("b1", "2026-01-13")).day).toBe("2026-01-13");
    expect((await api.marks("b1")).marks).toEqual([]);
    expect(ages.at(-1)).toBe(new Date(START_MS).toISOString());
  });

  it("names of people never reach the disk", async () => {
    const ground = await open();
    const api = grounded(ground);
    await api.who();
    await api.farm("f");
    await ground.refresh("f", []);
    await api.state("b1", "2026-01-12");
    const disk = await wholeDisk();
    expect(disk).toContain("Ottlemere");
    expect(disk).not.toContain(NAME);
  });

  it("a service that hangs is not waited for longer than the limit, and not again at once", async () => {
    const ground = await open();
    const api = grounded(ground, [], 400);
    await ground.refresh("f", []);
    service.state.hang = true;
    await api.overview("f", "2026-01-12");
    const start = performance.now();
    await api.overview("f", "2026-01-12");
    await api.state("b1", "2026-01-12");
    expect(performance.now() - start).toBeLessThan(400); // a busy machine reads its disk slowly
  });

  it("a service in trouble is as good as none; a refusal is not hidden", async () => {
    const ground = await open();
    await ground.refresh("f", []);
    const api = grounded(ground);
    service.state.off = problem(503);
    expect((await api.overview("f", "2026-01-12")).blocks).toHaveLength(2);
    service.state.off = problem(401);
    await expect(api.overview("f", "2026-01-12")).rejects.toMatchObject({ status: 401 });
  });

  it("an own check is not lost where the log is newer than the state", async () => {
    const check = { id: "k", kind: "checks", farmId: "f", state: "sent", acked_cursor: 6, epoch: "e1", record: { season_id: "s" }, subject: { block: "b1", row: 1, position: 2 } } as unknown as Entry;
    service.api.log = async () => ({ ...pack("b1", 6).log, cursor: 6 });
    const folded: (readonly Entry[])[] = [];
    const api = groundedApi({
      api: service.api, ground: await open(), now: () => now, read: () => undefined, patience_ms: 20,
      pendingFor: (block, read) => notInLog([check], block, read),
      fold: async (state, _log, own) => (folded.push(own), state),
    });
    expect((await api.state("b1", "2026-01-12")).cursor).toBe(5);
    expect(folded).toEqual([[check]]);
  });

  it("what is neither there nor here fails as before", async () => {
    service.state.off = noAnswer();
    await expect(grounded(await open()).overview("f", "2026-01-12")).rejects.toMatchObject({ name: "NoAnswer" });
  });
});
