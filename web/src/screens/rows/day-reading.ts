/** What is known of a crew's day: its entries, those of the day before, and what it pruned, from service and device together. */

import { standingMarks } from "../../core/block-marks";
import type { BlockLog, BlockShape, BlockSummary, CrewDay, ShapeRow } from "../../core/contracts";
import {
  dayBefore,
  dayWork,
  marksOfDay,
  standingEntries,
  type DayMark,
  type DayWork,
  type KeptCrewDay,
} from "../../core/knock-off";
import { crewDay, type CrewDayHeard } from "../../data/crew-day-api";
import { speaksFor, type Context } from "../context";
import { ownBlocks } from "./own-blocks";

export interface DayReading {
  entries: KeptCrewDay[];
  before: KeptCrewDay | undefined;
  work: DayWork;
  /** Some block that may hold rows of the day could not be read. */
  partly: boolean;
}
interface Asked {
  crewId: string;
  day: string;
  blocks: readonly BlockSummary[];
}
interface BlockOfDay {
  shape: BlockShape;
  log: BlockLog;
}

/** Read a crew's day: of the service the blocks that it names, without an answer what is on the device. */
export async function readDay(context: Context, asked: Asked): Promise<DayReading> {
  const { request, farm, sending } = context;
  const { crewId, day } = asked;
  const own = sending
    .entries()
    .flatMap(({ kind, record, state }) =>
      kind === "crew_days" && "people" in record && state !== "set_aside" && state !== "refused" ? [record as CrewDay] : [],
    );
  const hear = (on: string): Promise<CrewDayHeard | null> => crewDay(request, farm.id, on, crewId).catch(() => null);
  const entriesOf = (heard: CrewDayHeard | null, on: string): KeptCrewDay[] =>
    standingEntries([...(heard?.entries ?? []), ...own], crewId, on);
  const [heard, before] = await Promise.all([hear(day), hear(dayBefore(day))]);
  const pruned = heard === null ? await workHere(context, asked) : await workHeard(context, asked, heard);
  return { entries: entriesOf(heard, day), before: entriesOf(before, dayBefore(day)).at(-1), ...pruned };
}

type Work = Pick<DayReading, "work" | "partly">;

async function workHeard(context: Context, asked: Asked, heard: CrewDayHeard): Promise<Work> {
  const wanted = new Set([...heard.blocks, ...ownBlocks(context, asked)]);
  const read = await Promise.all(
    asked.blocks
      .filter(({ id }) => wanted.has(id))
      .map((block) => blockOfDay(context, block).catch(() => null)),
  );
  return workOf(context, asked, read);
}

async function workHere(context: Context, asked: Asked): Promise<Work> {
  const { ground } = context;
  const own = ownBlocks(context, asked);
  const read = await Promise.all(
    asked.blocks.map(async ({ id, pruned }) => {
      const held = await ground.block(id);
      // of a block that is not here nobody knows whether the crew was in it, unless nobody was
      if (held === null) return own.has(id) || pruned > 0 ? null : undefined;
      return own.has(id) || marksOfDay(held.log, asked.crewId, asked.day).length > 0 ? held : undefined;
    }),
  );
  return workOf(context, asked, read.filter((one) => one !== undefined));
}

/** Add up what was read; null is a block that could not be. */
function workOf(context: Context, { crewId, day }: Asked, read: readonly (BlockOfDay | null)[]): Work {
  const marks: DayMark[] = [];
  const rows = new Map<string, ShapeRow>();
  for (const { shape, log } of read.filter((one) => one !== null)) {
    const pending = context.sending.pendingFor(shape.id, log);
    const standing = standingMarks(log, pending, speaksFor(context));
    marks.push(...standing.filter((mark) => mark.crewId === crewId && mark.day === day).map((mark) => ({ ...mark, block: shape.id })));
    for (const row of shape.rows) rows.set(`${shape.id} ${row.n}`, row);
  }
  return { work: dayWork(marks, (block, n) => rows.get(`${block} ${n}`)), partly: read.includes(null) };
}

/** Return the service's log of a block, with the shape of the device where it has the right one. */
async function blockOfDay({ ground, api }: Context, block: BlockSummary): Promise<BlockOfDay> {
  const [held, log] = await Promise.all([ground.block(block.id), api.log(block.id)]);
  if (held !== null && held.shape.version === block.shape_version) return { shape: held.shape, log };
  return { shape: await api.shape(block.id, block.shape_version), log };
}
