import { describe, expect, it, vi } from "vitest";
import type { BriefVersion } from "../../src/core/brief-contracts";
import { hazardsRead, readOf } from "../../src/core/brief-reading";
import { briefWords } from "../../src/core/brief-wording";
import type { BlockPack, BlockSummary } from "../../src/core/contracts";
import { language } from "../../src/core/language";
import { deviceOf } from "../../src/data/device";
import { tabletMemoryOf } from "../../src/data/tablet-memory";
import { briefParts, readBlockBrief } from "../../src/screens/brief/block-brief";
import { LIMIT_MS, speakerOf } from "../../src/screens/brief/brief-speaker";
import type { Context } from "../../src/screens/context";
import { briefOf, point } from "../core/brief-samples";
import { noAnswer } from "../data/device-kit";

const BLOCK = { id: "b1", code: "K1" } as BlockSummary;
const HAZARD = { key: "slope", rows: [], texts: { en: "Slope." } };
const [first, second] = [briefOf(1, [point("stubs")]), briefOf(2, [point("stubs"), point("light")])];
const pack = (brief: BriefVersion | null, hazards = [HAZARD]) => ({ brief, hazards, pictures: ["stubs"] }) as unknown as BlockPack;

/** A device that holds `held` of the block, beside a service that tells `told`; undefined where there is nothing, or no answer. */
function given(held: BlockPack | undefined, told: BriefVersion | null | undefined) {
  const shelf = new Map<string, string>();
  const storage = { getItem: (key: string) => shelf.get(key) ?? null, setItem: (key: string, value: string) => void shelf.set(key, value), removeItem: (key: string) => void shelf.delete(key) };
  const state = { held, told, packed: 0, listeners: [] as (() => unknown)[] };
  const answer = async <Value>(value: Value | undefined): Promise<Value> => {
    if (value === undefined) throw noAnswer();
    return value;
  };
  const context = {
    farm: { id: "f", time_zone: "Europe/London", today: "2026-01-12" },
    device: deviceOf(storage),
    tablet: { memory: tabletMemoryOf(storage) },
    api: {
      // as the routes with the ground behind them: what is held, when the service does not answer
      brief: () => answer(state.told === undefined ? state.held && { brief: state.held.brief ?? null } : { brief: state.told }),
      packs: () => {
        state.packed += 1;
        return answer(state.told === undefined ? undefined : { blocks: [pack(state.told, [])], pictures: { light: "<svg>new</svg>" } });
      },
    },
    ground: {
      block: async () => state.held ?? null,
      drawings: async (digests: string[]) => new Map(digests.map((digest) => [digest, "<svg>kept</svg>"])),
      listen(changed: () => unknown) {
        state.listeners.push(changed);
        return () => state.listeners.splice(0);
      },
    },
  } as unknown as Context;
  return { context, state };
}

describe("what there is to show", () => {
  it("is what the tablet holds, while the service knows no other version or does not answer", async () => {
    for (const told of [first, undefined]) {
      const { context, state } = given(pack(first), told);
      const { brief, hazards, drawings } = await briefParts(context, "b1");
      expect([brief, hazards, [...drawings]]).toEqual([first, [HAZARD], [["stubs", "<svg>kept</svg>"]]]);
      expect(state.packed).toBe(0);
    }
  });

  it("comes whole from the service when the block is not here, or with another version", async () => {
    for (const held of [undefined, pack(first), pack(null)]) {
      const { context } = given(held, second);
      const { brief, hazards, drawings } = await briefParts(context, "b1");
      expect([brief, hazards, [...drawings]]).toEqual([second, [], [["light", "<svg>new</svg>"]]]);
    }
  });

  it("tells a block without a brief from one of which nothing is known", async () => {
    expect((await briefParts(given(pack(null), null).context, "b1")).brief).toBeNull();
    expect((await briefParts(given(undefined, null).context, "b1")).brief).toBeNull();
    expect((await briefParts(given(undefined, undefined).context, "b1")).brief).toBeUndefined();
    const older = { ...pack(null) };
    delete older.brief;
    delete older.hazards;
    expect(await briefParts(given(older, undefined).context, "b1")).toMatchObject({ brief: null, cautions: undefined, hazards: [] });
  });

  it("has the cautions of the farm where no brief says them", async () => {
    const cautions = { en: ["Power lines: at least 7.8 m away.", "The law decides."] };
    expect(await briefParts(given({ ...pack(null), cautions }, null).context, "b1")).toMatchObject({ brief: null, cautions });
  });
});

describe("a brief must be read", () => {
  const read = (context: Context, brief: BriefVersion): void => context.tablet.memory.setBriefRead("t", JSON.stringify(readOf(brief, "en")));
  const readAll = (context: Context, brief: BriefVersion): void => {
    read(context, brief);
    context.tablet.memory.setBriefRead("hazards.b1", hazardsRead([HAZARD]));
  };

  it("once a day in each block, and another version on the same day", async () => {
    const { context, state } = given(pack(first), first);
    const isDue = async (day: string) => (await readBlockBrief(context, BLOCK)).isDue(day);
    expect(await isDue("2026-01-12")).toBe(true);
    context.device.readCautions("b1", "2026-01-12"); // as an older page notes it, which knew of no briefs
    expect(await isDue("2026-01-12")).toBe(true);
    readAll(context, first);
    expect([await isDue("2026-01-12"), await isDue("2026-01-13")]).toEqual([false, true]);
    state.told = second;
    expect(await isDue("2026-01-12")).toBe(true);
    read(context, second); // in another block of the variety
    expect(await isDue("2026-01-12")).toBe(false);
    state.told = undefined; // the tablet still holds the older one
    expect(await isDue("2026-01-12")).toBe(false);
  });

  it("without a brief, the cautions once a day", async () => {
    const { context } = given(pack(null, []), null);
    context.device.readCautions("b1", "2026-01-12");
    const brief = await readBlockBrief(context, BLOCK);
    expect([brief.isDue("2026-01-12"), brief.isDue("2026-01-13")]).toEqual([false, true]);
  });

  it("a version that comes while the block is open is said once, and is due from then on", async () => {
    const { context, state } = given(pack(first), first);
    const brief = await readBlockBrief(context, BLOCK);
    context.device.readCautions("b1", "2026-01-12");
    readAll(context, first);
    const said: string[] = [];
    const stop = brief.watch((words) => said.push(words));
    const tell = async () => void (await Promise.all(state.listeners.map((listener) => listener())));
    await tell();
    expect([said.length, brief.isDue("2026-01-12")]).toEqual([0, false]);
    [state.held, state.told] = [pack(second), second];
    await tell();
    await tell();
    expect([said.length, brief.isDue("2026-01-12")]).toEqual([1, true]);
    stop();
    expect(state.listeners).toEqual([]);
  });

  it("a hazard that comes later the same day is said at once and due again; one that goes is not", async () => {
    const { context, state } = given(pack(first), first);
    const brief = await readBlockBrief(context, BLOCK);
    context.device.readCautions("b1", "2026-01-12");
    readAll(context, first);
    const said: string[] = [];
    brief.watch((words) => said.push(words));
    const tell = async () => void (await Promise.all(state.listeners.map((listener) => listener())));
    state.held = pack(first, [{ ...HAZARD, texts: { en: "Slope. The law decides." } }]); // it became the last one, whose text defers
    await tell();
    expect([said.length, brief.isDue("2026-01-12")]).toEqual([0, false]);
    const closure = { key: "closure", rows: [], texts: { en: "Closed block: from noon. The law decides." } };
    state.held = pack(first, [HAZARD, closure]);
    await tell();
    expect([said, brief.isDue("2026-01-12")]).toEqual([["A new warning for this block is here: read it under “Brief”."], true]);
    expect((await readBlockBrief(context, BLOCK)).isDue("2026-01-12")).toBe(true);
    state.held = pack(first, []);
    await tell();
    expect([said.length, brief.isDue("2026-01-12")]).toEqual([1, false]);
  });

  it("what the weather calls for is a hazard on its days", async () => {
    const frost = { key: "frost_ahead", from: "2026-01-12", until: "2026-01-14", texts: { en: "Hard frost on 14 January." } };
    const { context } = given({ ...pack(first, []), timing: [frost] }, first);
    for (const [today, told] of [["2026-01-11", 0], ["2026-01-12", 1], ["2026-01-14", 1], ["2026-01-15", 0]] as const) {
      const now = { ...context, farm: { ...context.farm, today } };
      expect((await briefParts(now, "b1")).hazards.map(({ texts }) => texts["en"])).toEqual(["Hard frost on 14 January."].slice(0, told));
    }
  });
});

describe("a brief on pages of another language", () => {
  it("is spoken about in its own language while it is made, and the pages speak theirs again", async () => {
    const spanish = await speakerOf("es");
    expect([spanish.code, spanish.say(() => briefWords().pointClass.critical), spanish.say(language)]).toEqual(["es", "crítico", "es"]);
    expect(spanish.say(briefWords).number(3.5)).toBe("3,5");
    expect([language(), briefWords().pointClass.critical, briefWords().day("2026-01-12")]).toEqual(["en", "critical", "12 Jan 2026"]);
    expect(() => spanish.say(() => { throw new Error("in the middle"); })).toThrow();
    expect(language()).toBe("en");
  });

  it("is spoken about in the language of the pages where there is no catalogue of its own, or none that comes", async () => {
    const other = await speakerOf("cy");
    expect([other.code, other.say(() => briefWords().read)]).toEqual(["en", "Read"]);
    expect((await speakerOf("es", async () => null)).code).toBe("en");
    vi.useFakeTimers();
    const beside = speakerOf("es", () => new Promise(() => undefined)); // a service that hangs
    await vi.advanceTimersByTimeAsync(LIMIT_MS);
    expect((await beside).code).toBe("en");
    vi.useRealTimers();
  });
});
