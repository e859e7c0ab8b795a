/**
 * The ground: what of the farm is on this device, so that the pages work in it for a day without a signal.
 *
 * It is a copy of what the service answered, with its age; the outbox is apart from it and never depends on it.
 */

import { blocksToKeep, farmToKeep, PACKS_AT_ONCE, stateToKeep, whoToKeep } from "../core/ahead";
import type { BlockLog, BlockState, Farm, Overview, Who } from "../core/contracts";
import type { BlockLots } from "../core/quality-contracts";
import { farmNow, isOfEarlierSeason, packInSeason, withoutWork } from "../core/seasons";
import type { Api } from "./api";
import type { Database, Held, HeldBlock } from "./database";
import { drawingsIn, heldBlock, keepPacks } from "./held-packs";

export interface Ground {
  who(): Promise<Kept<Who> | null>;
  /** A farm with today's day and season. */
  farm(id: string): Promise<Kept<Farm> | null>;
  overview(farmId: string): Promise<Kept<Overview> | null>;
  /** A block as it stands in the farm's season of today. */
  block(id: string): Promise<GroundBlock | null>;
  keepWho(who: Who): Promise<void>;
  keepFarm(farm: Farm): Promise<void>;
  /** Keep an overview, unless it is one of a day before the farm's today. */
  keepOverview(overview: Overview): Promise<void>;
  /** Return the drawings of these digests that are here, as SVG. */
  drawings(digests: readonly string[]): Promise<ReadonlyMap<string, string>>;
  /** Put a newer part of a block into its pack, when the block is here. */
  freshen(id: string, part: { state?: BlockState; log?: BlockLog; lots?: BlockLots }): Promise<void>;
  /** Fetch the packs of blocks, and keep these blocks from now on. */
  fetchAhead(farmId: string, blocks: readonly string[]): Promise<void>;
  /** Fetch what changed since the last time and what is missing. */
  refresh(farmId: string, own: readonly string[]): Promise<void>;
  isHere(id: string): boolean;
  /** When the pack of a block was known to be the service's last, or null. */
  packAge(id: string): string | null;
  /** Read the ages that are kept; before it nothing is here. */
  open(): Promise<void>;
  listen(changed: () => void): () => void;
}
export interface Kept<Value> {
  value: Value;
  madeAt: string;
}
export interface GroundBlock extends HeldBlock {
  /** What is here was read in another season, so nothing of its work counts. */
  isOfEarlierSeason: boolean;
}
export interface GroundTools {
  api: Pick<Api, "overview" | "packs" | "changes" | "farm">;
  database: Database;
  now(): number;
  /** The crew that prunes with this device; null for none, or for any. */
  crewId?(): string | null;
  /** Told the epoch in every answer. */
  heardEpoch(epoch: string): Promise<void>;
}
interface Ages {
  epoch: string;
  cursor: number;
  blocks: Record<string, { madeAt: string; version: string; seasonId?: string | null; form?: number }>;
  along: string[];
}

const CHANGES_PAGES = 5;
/** Changes that name no block and are told by the pack of every one. */
const OF_ALL_BLOCKS: ReadonlySet<string> = new Set(["season", "crew", "person", "weather"]);
const AGES = "ages:";
/** Raised whenever more of a pack is kept, so that what an older page kept is fetched again: 2 since drawings and hazards are, 3 since cautions,
 * 4 since lots, 5 since it is known which of them were cancelled, 6 since lots say which trees stand in for others, 7 since shapes say their ground. */
const PACK_FORM = 7;
/** A cursor before every change. */
const BEFORE_ALL = -1;

/** Return the ground over a database. */
export function groundOf({ api, database, now, crewId = () => null, heardEpoch }: GroundTools): Ground {
  const ages = new Map<string, Ages>();
  const listeners = new Set<() => void>();
  const tell = (): void => listeners.forEach((listener) => listener());
  const moment = (): string => new Date(now()).toISOString();
  const agesOf = (farmId: string): Ages => {
    const known = ages.get(farmId) ?? { epoch: "", cursor: BEFORE_ALL, blocks: {}, along: [] };
    ages.set(farmId, known);
    return known;
  };
  const ageOf = (id: string) => [...ages.values()].map(({ blocks }) => blocks[id]).find((age) => age !== undefined);

  // a device that cannot keep the ground works with a connection only; that is said elsewhere and stops nothing
  const put = async (key: string, value: unknown): Promise<void> => {
    const kept: Held = { value, madeAt: moment() };
    await database.base().then((base) => base.put("farm", kept, key)).catch(() => undefined);
  };
  const get = async <Value>(key: string): Promise<Kept<Value> | null> => {
    const kept = await database.base().then((base) => base.get("farm", key)).catch(() => undefined);
    return kept === undefined ? null : { value: kept.value as Value, madeAt: kept.madeAt };
  };
  const held = (id: string): Promise<HeldBlock | null> =>
    database.base().then((base) => base.get("packs", id)).then((pack) => pack ?? null).catch(() => null);
  const farm = async (id: string): Promise<Kept<Farm> | null> => {
    const kept = await get<Farm>(`farm:${id}`);
    return kept === null ? null : { ...kept, value: farmNow(kept.value, now()) };
  };
  /** Tell whether a day was over when the service last told the farm's. */
  const isPast = async (farmId: string, day: string): Promise<boolean> => day < ((await get<Farm>(`farm:${farmId}`))?.value.today ?? "");

  const fetchPacks = async (farmId: string, blocks: readonly string[]): Promise<void> => {
    for (let at = 0; at < blocks.length; at += PACKS_AT_ONCE) {
      const { blocks: packs, pictures = {}, epoch, made_at } = await api.packs(farmId, blocks.slice(at, at + PACKS_AT_ONCE));
      await heardEpoch(epoch);
      const base = await database.base();
      const whole = await keepPacks(base, packs.map((pack) => heldBlock(pack, farmId, made_at)), pictures);
      const form = whole ? { form: PACK_FORM } : {};
      for (const { summary, log } of packs) {
        agesOf(farmId).blocks[summary.id] = { madeAt: made_at, version: summary.shape_version, seasonId: log.season_id, ...form };
      }
      await put(AGES + farmId, agesOf(farmId));
      tell();
    }
  };
  /** Return the blocks that changed after the cursor; null when that is not known and everything is fetched. */
  const touched = async (farmId: string): Promise<Set<string> | null> => {
    const known = agesOf(farmId);
    if (known.cursor < 0) return null;
    const blocks = new Set<string>();
    let cursor = known.cursor;
    for (let page = 0; page < CHANGES_PAGES; page += 1) {
      const answer = await api.changes(farmId, cursor);
      if (answer.epoch !== known.epoch) return null;
      if (answer.changes.some(({ kind, block_id }) => block_id === null && OF_ALL_BLOCKS.has(kind))) return null;
      for (const change of answer.changes) if (change.block_id !== null) blocks.add(change.block_id);
      const last = answer.changes.at(-1);
      if (last === undefined) return blocks;
      cursor = last.seq;
    }
    return null;
  };

  return {
    who: () => get<Who>("who"),
    farm,
    overview: (farmId) => get<Overview>(`overview:${farmId}`),
    async block(id) {
      const pack = await held(id);
      const of = pack === null ? null : await farm(pack.farmId);
      if (pack === null || of === null) return pack === null ? null : { ...pack, isOfEarlierSeason: false };
      return { ...packInSeason(pack, of.value), isOfEarlierSeason: isOfEarlierSeason(pack.log.season_id, of.value) };
    },
    drawings: (digests) => database.base().then((base) => drawingsIn(base, digests)).catch(() => new Map<string, string>()),
    keepWho: (who) => put("who", whoToKeep(who)),
    keepFarm: (farm) => put(`farm:${farm.id}`, farmToKeep(farm)),
    async keepOverview(overview) {
      if (await isPast(overview.farm_id, overview.day)) return;
      await put(`overview:${overview.farm_id}`, overview);
      tell();
    },
    async freshen(id, { state, log, lots }) {
      const pack = await held(id);
      if (pack === null) return;
      if (state !== undefined && state.cursor >= pack.state.cursor && !(await isPast(pack.farmId, state.day))) pack.state = stateToKeep(state);
      if (log !== undefined && (log.epoch !== pack.log.epoch || log.cursor >= pack.log.cursor)) {
        // a state names neither epoch nor season: its place in another epoch is not known, and its work is of the log's season
        if (log.epoch !== pack.log.epoch) pack.state.cursor = BEFORE_ALL;
        if (log.season_id !== pack.log.season_id) pack.state = withoutWork(pack.state);
        pack.log = log;
      }
      if (lots !== undefined) {
        pack.lots = lots.lots;
        pack.lots_cancelled = lots.cancelled ?? [];
      }
      await database.base().then((base) => base.put("packs", pack)).catch(() => undefined);
    },
    async fetchAhead(farmId, blocks) {
      const known = agesOf(farmId);
      known.along = [...new Set([...blocks, ...known.along])];
      await fetchPacks(farmId, blocks);
    },
    async refresh(farmId, own) {
      const known = agesOf(farmId);
      const told = await api.farm(farmId);
      const overview = await api.overview(farmId, told.today);
      await put(`farm:${farmId}`, farmToKeep(told));
      await put(`overview:${farmId}`, overview);
      await heardEpoch(overview.epoch);
      const since = known.epoch === overview.epoch ? await touched(farmId) : null;
      const wanted = blocksToKeep(overview, { own, along: known.along, crewId: crewId() });
      const versions = new Map(overview.blocks.map(({ id, shape_version }) => [id, shape_version]));
      const isCurrent = (id: string): boolean =>
        since !== null &&
        !since.has(id) &&
        known.blocks[id]?.form === PACK_FORM &&
        known.blocks[id]?.version === versions.get(id) &&
        known.blocks[id]?.seasonId === overview.season_id;
      const readAt = moment();
      await fetchPacks(farmId, wanted.filter((id) => !isCurrent(id)));
      // nothing of these changed up to now: they are as fresh as the ones just fetched
      for (const id of wanted) {
        const age = known.blocks[id];
        if (isCurrent(id) && age !== undefined) age.madeAt = readAt;
      }
      known.epoch = overview.epoch;
      // what came after the overview is read once more the next time
      known.cursor = overview.cursor;
      await put(AGES + farmId, known);
      tell();
    },
    isHere: (id) => ageOf(id) !== undefined,
    packAge: (id) => ageOf(id)?.madeAt ?? null,
    async open() {
      const base = await database.base().catch(() => null);
      if (base === null) return;
      for (const key of await base.getAllKeys("farm")) {
        const kept = key.startsWith(AGES) ? await base.get("farm", key) : undefined;
        if (kept !== undefined) ages.set(key.slice(AGES.length), kept.value as Ages);
      }
      tell();
    },
    listen(changed) {
      listeners.add(changed);
      return () => listeners.delete(changed);
    },
  };
}
