/**
 * The ground: what of the farm is on this device, so that the pages work in it for a day without a signal.
 *
 * It is a copy of what the service answered, with its age; the outbox is apart from it and never depends on it.
 */

import { blocksToKeep, farmToKeep, PACKS_AT_ONCE, stateToKeep, whoToKeep } from "../core/ahead";
import type { BlockLog, BlockPack, BlockState, Farm, Overview, Who } from "../core/contracts";
import type { Api } from "./api";
import type { Database, Held, HeldBlock } from "./database";

export interface Ground {
  who(): Promise<Kept<Who> | null>;
  farm(id: string): Promise<Kept<Farm> | null>;
  overview(farmId: string): Promise<Kept<Overview> | null>;
  block(id: string): Promise<HeldBlock | null>;
  keepWho(who: Who): Promise<void>;
  keepFarm(farm: Farm): Promise<void>;
  keepOverview(overview: Overview): Promise<void>;
  /** Put a newer part of a block into its pack, when the block is here. */
  freshen(id: string, part: { state?: BlockState; log?: BlockLog }): Promise<void>;
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
export interface GroundTools {
  api: Pick<Api, "overview" | "packs" | "changes" | "farm">;
  database: Database;
  now(): number;
  /** Told the epoch in every answer. */
  heardEpoch(epoch: string): Promise<void>;
}
interface Ages {
  epoch: string;
  cursor: number;
  blocks: Record<string, { madeAt: string; version: string }>;
  along: string[];
}

const CHANGES_PAGES = 5;
const AGES = "ages:";

/** Return the ground over a database. */
export function groundOf({ api, database, now, heardEpoch }: GroundTools): Ground {
  const ages = new Map<string, Ages>();
  const listeners = new Set<() => void>();
  const tell = (): void => listeners.forEach((listener) => listener());
  const moment = (): string => new Date(now()).toISOString();
  const agesOf = (farmId: string): Ages => {
    const known = ages.get(farmId) ?? { epoch: "", cursor: -1, blocks: {}, along: [] };
    ages.set(farmId, known);
    return known;
  };
  const ageOf = (id: string) => [...ages.values()].map(({ blocks }) => blocks[id]).find((age) => age !== undefined);

  // a device that cannot keep the ground works with a connection only; that is said elsewhere and stops nothing
  const put = async (key: string, value: unknown): Promise<void> => {
    const held: Held = { value, madeAt: moment() };
    await database.base().then((base) => base.put("farm", held, key)).catch(() => undefined);
  };
  const get = async <Value>(key: string): Promise<Kept<Value> | null> => {
    const held = await database.base().then((base) => base.get("farm", key)).catch(() => undefined);
    return held === undefined ? null : { value: held.value as Value, madeAt: held.madeAt };
  };
  const block = (id: string): Promise<HeldBlock | null> =>
    database.base().then((base) => base.get("packs", id)).then((pack) => pack ?? null).catch(() => null);

  const fetchPacks = async (farmId: string, blocks: readonly string[]): Promise<void> => {
    for (let at = 0; at < blocks.length; at += PACKS_AT_ONCE) {
      const { blocks: packs, epoch, made_at } = await api.packs(farmId, blocks.slice(at, at + PACKS_AT_ONCE));
      await heardEpoch(epoch);
      const base = await database.base();
      const step = base.transaction("packs", "readwrite");
      await Promise.all([...packs.map((pack) => step.store.put(heldBlock(pack, farmId, made_at))), step.done]);
      for (const { summary } of packs) agesOf(farmId).blocks[summary.id] = { madeAt: made_at, version: summary.shape_version };
      await put(AGES + farmId, agesOf(farmId));
      tell();
    }
  };
  /** Return the blocks that changed after the cursor; null when that is not known and everything is fetched. */
  const touched = async (farmId: string): Promise<{ blocks: Set<string>; cursor: number } | null> => {
    const known = agesOf(farmId);
    if (known.cursor < 0) return null;
    const blocks = new Set<string>();
    let cursor = known.cursor;
    for (let page = 0; page < CHANGES_PAGES; page += 1) {
      const answer = await api.changes(farmId, cursor);
      if (answer.epoch !== known.epoch) return null;
      for (const change of answer.changes) if (change.block_id !== null) blocks.add(change.block_id);
      if (answer.changes.length === 0) return { blocks, cursor: Math.max(cursor, answer.cursor) };
      cursor = answer.changes.at(-1)?.seq ?? answer.cursor;
    }
    return null;
  };

  return {
    who: () => get<Who>("who"),
    farm: (id) => get<Farm>(`farm:${id}`),
    overview: (farmId) => get<Overview>(`overview:${farmId}`),
    block,
    keepWho: (who) => put("who", whoToKeep(who)),
    keepFarm: (farm) => put(`farm:${farm.id}`, farmToKeep(farm)),
    keepOverview: (overview) => put(`overview:${overview.farm_id}`, overview).then(tell),
    async freshen(id, { state, log }) {
      const pack = await block(id);
      if (pack === null) return;
      if (state !== undefined && state.cursor >= pack.state.cursor) pack.state = stateToKeep(state);
      if (log !== undefined && log.cursor >= pack.log.cursor) pack.log = log;
      await database.base().then((base) => base.put("packs", pack)).catch(() => undefined);
    },
    async fetchAhead(farmId, blocks) {
      const known = agesOf(farmId);
      known.along = [...new Set([...blocks, ...known.along])];
      await fetchPacks(farmId, blocks);
    },
    async refresh(farmId, own) {
      const known = agesOf(farmId);
      const farm = await api.farm(farmId);
      const overview = await api.overview(farmId, farm.today);
      await put(`farm:${farmId}`, farmToKeep(farm));
      await put(`overview:${farmId}`, overview);
      await heardEpoch(overview.epoch);
      const since = known.epoch === overview.epoch ? await touched(farmId) : null;
      const wanted = blocksToKeep(overview, { own, along: known.along });
      const versions = new Map(overview.blocks.map(({ id, shape_version }) => [id, shape_version]));
      const isCurrent = (id: string): boolean =>
        since !== null && !since.blocks.has(id) && known.blocks[id]?.version === versions.get(id);
      const readAt = moment();
      await fetchPacks(farmId, wanted.filter((id) => !isCurrent(id)));
      // nothing of these changed up to now: they are as fresh as the ones just fetched
      for (const id of wanted) {
        const age = known.blocks[id];
        if (isCurrent(id) && age !== undefined) age.madeAt = readAt;
      }
      known.epoch = overview.epoch;
      known.cursor = since?.cursor ?? overview.cursor;
      await put(AGES + farmId, known);
      tell();
    },
    isHere: (id) => ageOf(id) !== undefined,
    packAge: (id) => ageOf(id)?.madeAt ?? null,
    async open() {
      const base = await database.base().catch(() => null);
      if (base === null) return;
      for (const key of await base.getAllKeys("farm")) {
        const held = key.startsWith(AGES) ? await base.get("farm", key) : undefined;
        if (held !== undefined) ages.set(key.slice(AGES.length), held.value as Ages);
      }
      tell();
    },
    listen(changed) {
      listeners.add(changed);
      return () => listeners.delete(changed);
    },
  };
}

function heldBlock(pack: BlockPack, farmId: string, madeAt: string): HeldBlock {
  return { ...pack, state: stateToKeep(pack.state), id: pack.summary.id, farmId, madeAt };
}
