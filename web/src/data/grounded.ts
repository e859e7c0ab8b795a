/**
 * Reading from the network, else from the ground: no reading waits longer than its limit when the device has it too.
 *
 * Writing never comes through here; records go by the outbox.
 */

import { dayIn } from "../core/ahead";
import type { BlockCounts, BlockLog, BlockState, KeptMark, LogMark, Who } from "../core/contracts";
import type { Entry, ReadUpTo } from "../core/outbox";
import { isOfEarlierSeason, overviewInSeason } from "../core/seasons";
import type { Api } from "./api";
import type { Ground, Kept } from "./ground";
import { NoAnswer, Problem } from "./request";

export interface Reading {
  /** The age of what was last shown from the ground instead of the service; null when the service answered. */
  asOf: string | null;
  /** What was shown from the ground was read in another season: its work does not count. */
  isOfEarlierSeason: boolean;
}
export interface GroundedTools {
  api: Api;
  ground: Ground;
  now(): number;
  /** Told after each reading where it came from. */
  read(reading: Reading): void;
  /** This device's own records that what was read of a block does not hold. */
  pendingFor(block: string, read: ReadUpTo): readonly Entry[];
  /** Put own records into a state: what the merge model makes of log and records together. */
  fold(state: BlockState, log: BlockLog | null, pending: readonly Entry[]): Promise<BlockState>;
  patience_ms?: number;
}

const PATIENCE_MS = 3_000;
/** After one answer that was late the next readings wait for a part of that only: a service that is back answers within it, and is believed. */
const IMPATIENT_MS = 15_000;
const IMPATIENT_SHARE = 0.1;
/** After something was saved the service is known to be there: it is waited for as long as a request may take. */
const SAVED_MS = 10_000;
const LATE = Symbol("late");
/** What is taken from the ground. */
interface FromGround<Value> extends Kept<Value> {
  isOfEarlierSeason?: boolean;
}

/** Return the routes with the ground behind those that a screen reads. */
export function groundedApi(tools: GroundedTools): Api {
  const { api, ground, now, pendingFor, fold, patience_ms = PATIENCE_MS } = tools;
  let impatientUntil = 0;
  const either = async <Value>(
    ask: () => Promise<Value>,
    keep: (value: Value) => Promise<void>,
    held: () => Promise<FromGround<Value> | null>,
    read = tools.read,
    patience = now() < impatientUntil ? patience_ms * IMPATIENT_SHARE : patience_ms,
  ): Promise<Value> => {
    const shown = ({ value, madeAt, isOfEarlierSeason = false }: FromGround<Value>): Value => {
      read({ asOf: madeAt, isOfEarlierSeason });
      return value;
    };
    const asking = ask().then(async (value) => {
      impatientUntil = 0;
      await keep(value);
      return value;
    });
    asking.catch(() => undefined); // when it comes too late, nobody waits for it
    try {
      const first = await Promise.race([asking, new Promise<typeof LATE>((done) => setTimeout(() => done(LATE), patience))]);
      if (first !== LATE) {
        read({ asOf: null, isOfEarlierSeason: false });
        return first;
      }
      impatientUntil = now() + IMPATIENT_MS;
    } catch (error) {
      if (error instanceof Problem && error.status < 500) throw error;
      const kept = await held();
      if (kept === null || !(error instanceof Problem || error instanceof NoAnswer)) throw error;
      return shown(kept);
    }
    const kept = await held();
    return kept === null ? asking : shown(kept);
  };
  const part = async <Value>(id: string, of: (pack: NonNullable<Awaited<ReturnType<Ground["block"]>>>) => Value) => {
    const pack = await ground.block(id);
    if (pack === null) return null;
    return { value: of(pack), madeAt: ground.packAge(id) ?? pack.madeAt, isOfEarlierSeason: pack.isOfEarlierSeason };
  };
  const log = (block: string): Promise<BlockLog> =>
    either(() => api.log(block), (value) => ground.freshen(block, { log: value }), () => part(block, (pack) => pack.log));

  return {
    ...api,
    log,
    who: () => either(api.who, ground.keepWho, async () => today(await ground.who(), now)),
    farm: (id) => either(() => api.farm(id), ground.keepFarm, () => ground.farm(id)),
    farmSaved: (id) => either(() => api.farmSaved(id), ground.keepFarm, () => ground.farm(id), tools.read, SAVED_MS),
    overview: (farm, day) =>
      either(() => api.overview(farm, day), ground.keepOverview, async () => {
        const [kept, of] = await Promise.all([ground.overview(farm), ground.farm(farm)]);
        // how things stand now is no answer to how they stood: of a day that is over only the service knows. A clock set back is believed to be today's
        if (kept === null || (of !== null && day < kept.value.day && day < of.value.today)) return null;
        const value = { ...kept.value, day };
        if (of === null) return { ...kept, value };
        return { ...kept, value: overviewInSeason(value, of.value), isOfEarlierSeason: isOfEarlierSeason(value.season_id, of.value) };
      }),
    // a shape never changes, so the browser's own cache may answer: that tells nothing of the service, nor of any age
    shape: (block, version) =>
      either(() => api.shape(block, version), async () => undefined, () => part(block, (pack) => pack.shape), () => undefined),
    async state(block, day) {
      const state = await either(
        () => api.state(block, day),
        (value) => ground.freshen(block, { state: value }),
        () => part(block, (pack) => ({ ...pack.state, day })),
      );
      const pending = pendingFor(block, { cursor: state.cursor });
      if (pending.length === 0) return state;
      const base = await log(block).catch(() => null);
      if (base === null) return fold(state, base, pending);
      // a log holds no checks: it may be newer than the state that lacks them
      const checks = pendingFor(block, { cursor: state.cursor, season_id: base.season_id }).filter(({ kind }) => kind === "checks");
      return fold(state, base, [...checks, ...pendingFor(block, base).filter(({ kind }) => kind !== "checks")]);
    },
    brief: (block) =>
      either(() => api.brief(block), async () => undefined, () => part(block, ({ brief }) => ({ brief: brief ?? null }))),
    lots: (block) =>
      either(
        () => api.lots(block),
        (lots) => ground.freshen(block, { lots }),
        () => part(block, ({ lots = [], lots_cancelled: cancelled = [] }) => ({ lots, cancelled })),
      ),
    async counts(block) {
      const counts = (): Promise<BlockCounts> => api.counts(block);
      // a pack of an older service tells of none
      const held = await ground.block(block);
      if (held?.counts === undefined) return counts();
      const { counts: value } = held;
      return either(counts, async () => undefined, () => part(block, () => value));
    },
    async marks(block) {
      const { marks } = await either(
        () => api.marks(block),
        async () => undefined,
        () => part(block, (pack) => ({ marks: marksOf(pack.log) })),
      );
      return { marks: withOwn(marks, pendingFor(block, { cursor: -1 })) };
    },
  };
}

function today(kept: Kept<Who> | null, now: () => number): Kept<Who> | null {
  if (kept === null) return null;
  const farms = kept.value.farms.map((farm) => ({ ...farm, today: dayIn(farm.time_zone, now()) }));
  return { ...kept, value: { ...kept.value, farms } };
}

/** Return standing marks as far as a log tells of them, answers to returns too: by whom and how is known to the service only. */
function marksOf({ crews, marks, returns = [] }: BlockLog): KeptMark[] {
  const told = ([id, row, first, last, crewIndex, day]: LogMark): KeptMark => {
    const crew_id = crews[crewIndex]?.id ?? "";
    return { id, row, first, last, crew_id, day, method: null, recorder_id: null, server_at: day, withdrawn: false, set_aside: null };
  };
  const answers = returns.flatMap(({ id: return_id, answers }) => answers.map((mark) => ({ ...told(mark), return_id })));
  return [...marks.map(told), ...answers];
}

/** Add this device's own marks, and take back what it has withdrawn. */
function withOwn(marks: readonly KeptMark[], own: readonly Entry[]): KeptMark[] {
  const known = new Set(marks.map(({ id }) => id));
  const withdrawn = new Set(own.flatMap(({ record }) => ("mark_id" in record ? [record.mark_id] : [])));
  const fresh = own.flatMap(({ kind, record, made_at }): KeptMark[] => {
    if (kind !== "marks" || known.has(record.id) || !("first" in record)) return [];
    const { id, row, first, last, crew_id, day, method, return_id = null } = record;
    return [{ id, row, first, last, crew_id, day, method, return_id, recorder_id: null, server_at: made_at, withdrawn: false, set_aside: null }];
  });
  return [...marks, ...fresh].map((mark) => (withdrawn.has(mark.id) ? { ...mark, withdrawn: true } : mark));
}

