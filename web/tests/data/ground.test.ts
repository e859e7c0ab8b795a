import { beforeEach, describe, expect, it } from "vitest";
import type { BlockCounts, BlockPack, BlockSummary, Changes, Crew, Farm, LogMark, Overview, Season, Who } from "../../src/core/contracts";
import type { LotPack } from "../../src/core/quality-contracts";
import { notInLog, type Entry } from "../../src/core/outbox";
import type { Api } from "../../src/data/api";
import { databaseOf, UPGRADES } from "../../src/data/database";
import { groundedApi } from "../../src/data/grounded";
import { groundOf, type Ground } from "../../src/data/ground";
import { briefOf, point } from "../core/brief-samples";
import { freshDisk, noAnswer, problem, START_MS } from "./device-kit";

const NAME = "Ada Quern";
const summary = (id: string): BlockSummary => ({ id, code: id, pruned: 0, trees: 10, shape_version: "v1" }) as BlockSummary;
const pack = (id: string, cursor: number): BlockPack => ({
  summary: summary(id),
  shape: { id, version: "v1", rows: [] },
  log: { id, season_id: "s", cursor, epoch: "e1", crews: [], marks: [], settlements: [] },
  state: { id, day: "2026-01-12", cursor, crews: [], runs: [], checks: [["c", 1, 1, "meets", "2026-01-12", NAME, "", true]], closed: null },
});
const HAZARD = { key: "overhead-lines", rows: [2], texts: { en: "Power lines." } };
const season = (id: string, opens_on: string): Season => ({ id, name: id, opens_on, must_finish_on: "2027-04-01", closed: false });
const farm = { id: "f", name: "Ottlemere", time_zone: "Europe/London", today: "2026-01-12", people: [{ name: NAME }], crews: [], seasons: [season("s", "2025-12-01")] } as unknown as Farm;
const who: Who = {
  state: "device", name: NAME, login: null, makes_farms: false,
  farms: [{ id: "f", name: "Ottlemere", time_zone: "Europe/London", today: "2026-01-12", role: "foreman", crew_id: "c1" }],
  device: { id: "d", name: "Tablet 3", farm_id: "f", role: "foreman", crew_id: "c1", holder: { id: "p", name: NAME } },
  epoch: "e1", version: "1",
};

const countsOf = (id: string): BlockCounts => ({
  id, season_id: "s", cursor: 1, epoch: "e1", trees: 10, target: null, lines: [["k", 1, 1, "limbs", 18, true]],
});

/** A service of two blocks; `asked` lists the packs that were fetched. */
function serviceOf() {
  const state = {
    epoch: "e1", changesEpoch: null as string | null, cursor: 5, touched: [] as string[], touchedKind: null as string | null,
    today: "2026-01-12", season: "s", seasons: [season("s", "2025-12-01")], crews: [] as Crew[],
    off: null as Error | null, asked: [] as string[][], hang: false,
    brief: briefOf(2, [point("stubs"), point("light")]), pictures: { stubs: "<svg>1</svg>", light: "<svg>2</svg>" } as Record<string, string> | null,
  };
  /** A pack as the service has it: two trees of row 1 pruned in whatever season it is. */
  const packed = (id: string): BlockPack => {
    const made = pack(id, state.cursor);
    const log = { ...made.log, season_id: state.season, epoch: state.epoch, crews: [{ id: "c1", name: "Hollow" }] };
    return { ...made, log: { ...log, marks: [["m", 1, 1, 2, 0, "2026-01-12"]] }, state: { ...made.state, crews: log.crews, runs: [[1, 1, 2, 1, 0]] }, ...(id === "b1" ? { brief: state.brief, hazards: [HAZARD], counts: countsOf(id) } : {}) };
  };
  const answer = async <Value>(value: () => Value): Promise<Value> => {
    if (state.hang) await new Promise(() => undefined);
    if (state.off !== null) throw state.off;
    return value();
  };
  const api = {
    who: () => answer(() => who),
    farm: () => answer(() => ({ ...farm, today: state.today, seasons: state.seasons, crews: state.crews })),
    overview: (_farm: string, day: string) => answer((): Overview => ({ farm_id: "f", day, season_id: state.season, figures: {}, cursor: state.cursor, epoch: state.epoch, blocks: [summary("b1"), summary("b2")] }) as Overview),
    packs: (_farm: string, blocks: readonly string[]) =>
      answer(() => {
        state.asked.push([...blocks]);
        return { epoch: state.epoch, cursor: state.cursor, made_at: new Date(START_MS).toISOString(), blocks: blocks.map(packed), ...(state.pictures === null ? {} : { pictures: state.pictures }) };
      }),
    changes: (_farm: string, after: number) =>
      answer((): Changes => {
        const kind = state.touchedKind;
        const marks = state.touched.map((block_id) => ({ seq: state.cursor, kind: "mark", subject_id: "m", block_id, row: 1 }));
        const others = kind === null ? [] : [{ seq: state.cursor, kind, subject_id: "x", block_id: null, row: null }];
        return { changes: after < state.cursor ? [...marks, ...others] : [], cursor: state.cursor, epoch: state.changesEpoch ?? state.epoch };
      }),
    shape: (id: string) => answer(() => pack(id, 1).shape),
    state: (id: string, day: string) => answer(() => ({ ...packed(id).state, day })),
    log: (id: string) => answer(() => packed(id).log),
    marks: () => answer(() => ({ marks: [] })),
    brief: () => answer(() => ({ brief: null })),
    counts: (id: string) => answer(() => countsOf(id)),
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

describe("drawings of briefs", () => {
  const here = async (ground: Ground) => [...(await ground.drawings(["stubs", "light", "leader"])).keys()].sort();

  it("come with the packs and stay while a brief names them, and go once none does", async () => {
    const ground = await open();
    await ground.refresh("f", []);
    expect(await here(await open())).toEqual(["light", "stubs"]);
    expect((await ground.drawings(["light"])).get("light")).toBe("<svg>2</svg>");
    service.state.cursor += 1;
    service.state.touched = ["b1"];
    service.state.brief = briefOf(3, [point("stubs"), point("leader")]);
    service.state.pictures = { stubs: "<svg>1</svg>", leader: "<svg>3</svg>" };
    await ground.refresh("f", []);
    expect(await here(ground)).toEqual(["leader", "stubs"]);
    // a pack of another block says nothing of them
    await ground.fetchAhead("f", ["b2"]);
    expect(await here(ground)).toEqual(["leader", "stubs"]);
  });

  it("a service that sends none leaves the block without them, and is not asked again for that", async () => {
    service.state.pictures = null;
    const ground = await open();
    await ground.refresh("f", []);
    await ground.refresh("f", []);
    expect([await here(ground), service.state.asked.length]).toEqual([[], 1]);
    expect((await ground.block("b1"))?.hazards).toEqual([HAZARD]);
  });

  it("a disk that refuses them keeps neither them nor the block: the last ones stay together", async () => {
    const ground = await open();
    await ground.refresh("f", []);
    service.state.cursor += 1;
    service.state.touched = ["b1"];
    service.state.brief = briefOf(3, [point("leader")]);
    service.state.pictures = { leader: (() => undefined) as unknown as string }; // what no disk can hold
    await expect(ground.refresh("f", [])).rejects.toThrow();
    expect([(await ground.block("b1"))?.brief?.version, await here(ground)]).toEqual([2, ["light", "stubs"]]);
  });

  it("while an older tab holds the database as it was, blocks are kept without; once it let go all are fetched again", async () => {
    const older = databaseOf({ outdated: () => undefined, held: () => undefined }, "orchardmap", UPGRADES.slice(0, 1));
    const before = groundOf({ api: service.api, database: older, now: () => now, heardEpoch: async () => undefined });
    await before.refresh("f", []);
    expect([(await before.block("b1"))?.brief?.version, await here(before)]).toEqual([2, []]);
    older.close();
    const ground = await open();
    expect((await ground.block("b1"))?.brief?.version).toBe(2); // taken along by the older one
    await ground.refresh("f", []);
    await ground.refresh("f", []);
    expect(service.state.asked).toEqual([["b1", "b2"], ["b1", "b2"]]);
    expect(await here(ground)).toEqual(["light", "stubs"]);
  });
});

describe("what all blocks here hang on", () => {
  const turn = (): void => {
    service.state.today = "2026-11-15";
    service.state.season = "s2";
    now = Date.parse("2026-11-15T09:00:00Z");
  };
  beforeEach(() => (service.state.seasons = [season("s", "2025-12-01"), season("s2", "2026-11-15")]));

  it("a season that turned by its day alone has every block fetched again, once", async () => {
    const ground = await open();
    await ground.refresh("f", []);
    turn();
    await ground.refresh("f", []);
    expect(service.state.asked).toEqual([["b1", "b2"], ["b1", "b2"]]);
    expect((await ground.block("b1"))?.log.season_id).toBe("s2");
    await ground.refresh("f", []);
    expect(service.state.asked).toHaveLength(2);
  });

  it.each(["season", "crew", "person", "weather"])("a new %s has every block fetched again; what is of no block and in no log does not", async (kind) => {
    const ground = await open();
    await ground.refresh("f", []);
    service.state.cursor += 1;
    service.state.touchedKind = "crew_day";
    await ground.refresh("f", []);
    expect(service.state.asked).toHaveLength(1);
    service.state.cursor += 1;
    service.state.touchedKind = kind;
    await ground.refresh("f", []);
    expect(service.state.asked.slice(1)).toEqual([["b1", "b2"]]);
  });

  it("without a connection a block of last season shows none of its work, and says so", async () => {
    await (await open()).refresh("f", []);
    service.state.off = noAnswer();
    const told: boolean[] = [];
    const api = groundedApi({
      api: service.api, ground: await open(), now: () => now, read: (reading) => told.push(reading.isOfEarlierSeason),
      pendingFor: () => [], fold: async (state) => state, patience_ms: 20,
    });
    expect([(await api.log("b1")).marks.length, (await api.state("b1", "2026-01-12")).runs.length]).toEqual([1, 1]);
    turn();
    expect((await api.farm("f")).season?.id).toBe("s2");
    expect(await api.log("b1")).toMatchObject({ season_id: "s2", marks: [] });
    expect(await api.state("b1", "2026-11-15")).toMatchObject({ runs: [], checks: [] });
    expect((await api.overview("f", "2026-11-15")).season_id).toBe("s2");
    expect(told).toEqual([false, false, false, true, true, true]);
  });

  it("a crew that the farm has got since is known in the blocks here", async () => {
    const ground = await open();
    await ground.refresh("f", []);
    await ground.keepFarm({ ...farm, crews: [{ id: "c2", name: "Thorn", foreman_id: null, method: "ladder", people: 0 }] });
    expect((await ground.block("b1"))?.log.crews.map(({ id }) => id)).toEqual(["c1", "c2"]);
  });

  it("a database put back between two questions has every block fetched again", async () => {
    const ground = await open();
    await ground.refresh("f", []);
    service.state.changesEpoch = "e2";
    await ground.refresh("f", []);
    expect(service.state.asked.slice(1)).toEqual([["b1", "b2"]]);
  });
});

describe("a newer part of a block", () => {
  const mark = (epoch: string, cursor: number, season_id = "s") => ({ ...pack("b1", cursor).log, epoch, season_id });
  const held = async (ground: Ground) => {
    const block = await ground.block("b1");
    return [block?.log.epoch, block?.log.cursor, block?.state.cursor];
  };

  it("takes the place of an older one; an answer that comes late takes none", async () => {
    const ground = await open();
    await ground.refresh("f", []);
    await ground.freshen("b1", { state: pack("b1", 4).state, log: mark("e1", 4) });
    expect(await held(ground)).toEqual(["e1", 5, 5]);
    await ground.freshen("b1", { state: pack("b1", 6).state, log: mark("e1", 6) });
    expect(await held(ground)).toEqual(["e1", 6, 6]);
  });

  it("of another epoch counts, however small its cursor, and then a state of it", async () => {
    const ground = await open();
    await ground.refresh("f", []);
    await ground.freshen("b1", { log: mark("e2", 2) });
    await ground.freshen("b1", { state: pack("b1", 2).state });
    expect(await held(ground)).toEqual(["e2", 2, 2]);
  });

  it("of another season leaves nothing of the work of the last one", async () => {
    service.state.seasons = [season("s2", "2025-12-01")];
    const ground = await open();
    await ground.refresh("f", []);
    await ground.freshen("b1", { log: mark("e1", 6, "s2") });
    expect(await ground.block("b1")).toMatchObject({ isOfEarlierSeason: false, state: { runs: [], checks: [] } });
  });
});

/** Every value in the database, as text. */
async function wholeDisk(): Promise<string> {
  const database = databaseOf({ outdated: () => undefined, held: () => undefined });
  const base = await database.base();
  const all = await Promise.all((["outbox", "packs", "pictures", "farm", "settings"] as const).map((store) => base.getAll(store)));
  database.close();
  return JSON.stringify(all);
}

describe("reading", () => {
  const offline = (ground: Ground) => ({
    api: service.api, ground, now: () => now, read: () => undefined, pendingFor: () => [], fold: async <State>(state: State) => state, patience_ms: 20,
  });
  const grounded = (ground: Ground, ages: (string | null)[] = [], patience_ms = 20) =>
    groundedApi({
      api: service.api, ground, now: () => now, read: ({ asOf }) => ages.push(asOf), pendingFor: () => [], fold: async (state) => state, patience_ms,
    });

  it("tells without the service which lots stand and which were cancelled, and answers to returns among all marks", async () => {
    const ground = await open();
    await ground.refresh("f", []);
    const lots = { lots: [{ id: "l1", number: 1, trees: [], walk: [] } as unknown as LotPack], cancelled: [{ id: "l2", number: 2 }] };
    const online = groundedApi({ ...offline(ground), api: { ...service.api, lots: async () => lots } });
    await online.lots("b1");
    const log = (await service.api.log("b1"));
    const answer: LogMark = ["a1", 1, 2, 2, 0, "2026-01-14"];
    const asked = { id: "r1", number: 1, crew_id: "c1", due_on: "2026-01-20", points: [], note: "", stretches: [[1, 1, 2] as [number, number, number]], answers: [answer] };
    await ground.freshen("b1", { log: { ...log, returns: [asked] } });
    service.state.off = noAnswer();
    const api = groundedApi({ ...offline(ground), api: { ...service.api, lots: async () => Promise.reject(noAnswer()) } });
    expect(await api.lots("b1")).toEqual(lots);
    expect((await api.marks("b1")).marks.map(({ id, return_id = null, crew_id }) => [id, return_id, crew_id])).toEqual([["m", null, "c1"], ["a1", "r1", "c1"]]);
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
    expect((await api.marks("b1")).marks.map(({ id }) => id)).toEqual(["m"]);
    expect((await api.brief("b1")).brief).toEqual(service.state.brief);
    expect((await api.brief("b2")).brief).toBeNull(); // an older service's pack says nothing of briefs
    expect((await api.counts("b1")).lines).toEqual([["k", 1, 1, "limbs", 18, true]]);
    await expect(api.counts("b2")).rejects.toMatchObject({ name: "NoAnswer" }); // nor of counts
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

  it("a service that hung is believed again as soon as it answers in good time", async () => {
    const ages: (string | null)[] = [];
    const ground = await open();
    const api = grounded(ground, ages, 400);
    await ground.refresh("f", []);
    service.state.hang = true;
    await api.overview("f", "2026-01-12");
    service.state.hang = false;
    service.state.cursor = 9;
    const { overview } = service.api;
    service.api.overview = async (...asked) => {
      await new Promise((done) => setTimeout(done, 10));
      return overview(...asked);
    };
    expect((await api.overview("f", "2026-01-12")).cursor).toBe(9);
    expect(ages.at(-1)).toBeNull();
  });

  it("a past day is shown and not kept: what is kept is how things stand", async () => {
    const ground = await open();
    const api = grounded(ground);
    await ground.refresh("f", []);
    service.state.cursor = 9;
    await api.overview("f", "2026-01-05");
    await api.state("b1", "2026-01-05");
    expect([(await ground.overview("f"))?.value.cursor, (await ground.block("b1"))?.state.day]).toEqual([5, "2026-01-12"]);
    await api.overview("f", "2026-01-12");
    expect((await ground.overview("f"))?.value.cursor).toBe(9);
  });

  it("a day that is over is the service's alone to tell: what is kept is today's, and never goes by another day", async () => {
    const ground = await open();
    const api = grounded(ground, [], 5);
    await ground.refresh("f", []);
    service.state.cursor = 9;
    const { overview } = service.api;
    service.api.overview = async (...asked) => {
      await new Promise((done) => setTimeout(done, 30));
      return overview(...asked);
    };
    expect((await api.overview("f", "2026-01-12")).cursor).toBe(5);
    expect((await api.overview("f", "2026-01-05")).cursor).toBe(9);
    service.state.off = noAnswer();
    await expect(api.overview("f", "2026-01-05")).rejects.toMatchObject({ name: "NoAnswer" });
    // a device whose clock was set back asks for its own today
    now -= 7 * 86_400_000;
    expect((await api.overview("f", "2026-01-05")).blocks).toHaveLength(2);
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

  it("the farm that was saved a moment ago is waited for, however late earlier answers were", async () => {
    const late = <Value>(value: Value) => new Promise<Value>((done) => setTimeout(() => done(value), 60));
    const slow = { ...service.api, farm: async () => late(farm), farmSaved: async () => late({ ...farm, name: "Renamed" }) };
    const ground = await open();
    await ground.keepFarm({ ...farm, name: "Before" });
    const api = groundedApi({ ...offline(ground), api: slow });
    expect((await api.farm("f")).name).toBe("Before");
    expect((await api.farmSaved("f")).name).toBe("Renamed");
    const lost = groundedApi({ ...offline(ground), api: { ...slow, farmSaved: async () => Promise.reject(noAnswer()) } });
    expect((await lost.farmSaved("f")).name).toBe("Renamed");
  });

  it("an own check is not lost where the log is newer than the state, and one of another season is left out", async () => {
    const check = { id: "k", kind: "checks", farmId: "f", state: "sent", acked_cursor: 6, epoch: "e1", record: { season_id: "s" }, subject: { block: "b1", row: 1, position: 2 } } as unknown as Entry;
    const before = { ...check, id: "before", state: "waiting", record: { season_id: "s0" } } as unknown as Entry;
    service.api.log = async () => ({ ...pack("b1", 6).log, cursor: 6 });
    const folded: (readonly Entry[])[] = [];
    const api = groundedApi({
      api: service.api, ground: await open(), now: () => now, read: () => undefined, patience_ms: 20,
      pendingFor: (block, read) => notInLog([check, before], block, read),
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
