/** What is known of a crew's day: its entries, those of the day before, and what it pruned, from service and device together. */

import { standingMarks } from "../../core/block-marks";
import type { BlockShape, BlockSummary, CrewDay, ShapeRow } from "../../core/contracts";
import {
  dayBefore,
  dayWork,
  standingEntries,
  type DayMark,
  type DayWork,
  type KeptCrewDay,
} from "../../core/knock-off";
import { crewDays } from "../../data/crew-day-api";
import type { Context } from "../context";
import { speaksFor } from "./block-book";

export interface DayReading {
  entries: KeptCrewDay[];
  before: KeptCrewDay | undefined;
  work: DayWork;
  /** Some block that may hold rows of the day could not be read. */
  partly: boolean;
}

/** So many blocks are asked of the service at once. */
const AT_ONCE = 6;

/** Read a crew's day. */
export async function readDay(
  context: Context,
  { crewId, day, blocks }: { crewId: string; day: string; blocks: readonly BlockSummary[] },
): Promise<DayReading> {
  const { request, farm, sending } = context;
  const own = sending
    .entries()
    .flatMap(({ kind, record, state }) =>
      kind === "crew_days" && "people" in record && state !== "set_aside" && state !== "refused" ? [record as CrewDay] : [],
    );
  const heard = async (on: string): Promise<KeptCrewDay[]> => {
    // without an answer the device's own entries serve
    const kept = await crewDays(request, farm.id, on, crewId).catch(() => []);
    return standingEntries([...kept, ...own], crewId, on);
  };
  const [entries, before, pruned] = await Promise.all([heard(day), heard(dayBefore(day)), pruning(context, crewId, day, blocks)]);
  return { entries, before: before.at(-1), ...pruned };
}

async function pruning(
  context: Context,
  crewId: string,
  day: string,
  blocks: readonly BlockSummary[],
): Promise<{ work: DayWork; partly: boolean }> {
  const { sending } = context;
  const touched = new Set(sending.entries().map(({ subject }) => subject.block));
  const asked = blocks.filter(({ id, pruned }) => pruned > 0 || touched.has(id));
  const marks: DayMark[] = [];
  const rows = new Map<string, ShapeRow>();
  let partly = false;
  for (let at = 0; at < asked.length; at += AT_ONCE) {
    await Promise.all(
      asked.slice(at, at + AT_ONCE).map(async (block) => {
        const read = await blockOfDay(context, block).catch(() => null);
        if (read === null) return void (partly = true);
        const pending = sending.pendingFor(block.id, read.log.cursor);
        const standing = standingMarks(read.log, pending, speaksFor(context));
        marks.push(...standing.filter((mark) => mark.crewId === crewId && mark.day === day).map((mark) => ({ ...mark, block: block.id })));
        for (const row of read.shape.rows) rows.set(`${block.id} ${row.n}`, row);
      }),
    );
  }
  return { work: dayWork(marks, (block, n) => rows.get(`${block} ${n}`)), partly };
}

/** Return the pack of the device when it has one, else what the service says. */
async function blockOfDay({ ground, api }: Context, block: BlockSummary): Promise<{ shape: BlockShape; log: Awaited<ReturnType<typeof api.log>> }> {
  const held = await ground.block(block.id);
  const log = await api.log(block.id);
  if (held !== null && held.shape.version === block.shape_version) return { shape: held.shape, log };
  return { shape: await api.shape(block.id, block.shape_version), log };
}
