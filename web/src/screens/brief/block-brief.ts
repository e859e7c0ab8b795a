/** The brief of one block with its hazards and drawings, as far as they are to be had: from the service, else from this tablet. */

import type { BriefVersion, Hazard } from "../../core/brief-contracts";
import { isUnread, languageOf, readFrom, readOf, type ReadBrief } from "../../core/brief-reading";
import type { BlockPack, BlockSummary } from "../../core/contracts";
import type { Context } from "../context";
import type { Panel } from "../rows/action-bar";
import { briefCard, type CardWay } from "./brief-card";
import { briefOver } from "./brief-over";

/** What there is to show; `brief` is null where none is published, undefined where that is not known. */
export interface BriefParts {
  brief: BriefVersion | null | undefined;
  hazards: readonly Hazard[];
  /** Drawings by digest, as SVG. */
  drawings: ReadonlyMap<string, string>;
  /** What was read of this brief on this tablet before. */
  read: ReadBrief | null;
}
export interface BlockBrief {
  /** Tell whether it must be read before anything is marked: once a day, and another version on the same day. */
  isDue(day: string): boolean;
  /** Note that it was read on this day. */
  noteRead(day: string): void;
  /** Return the card to read before anything is marked; it puts itself away, and `read` hears so. */
  due(read: () => void): HTMLElement;
  /** Lay the card over what `sheet` shows until the panel is left. */
  over(sheet: HTMLElement, close: () => void): Panel;
}

const isSame = (one: BriefVersion | null | undefined, other: BriefVersion | null): boolean =>
  one?.brief_id === other?.brief_id && one?.version === other?.version;

type Found = Pick<BriefParts, "brief" | "hazards" | "drawings">;

async function found({ api, farm, ground }: Context, block: string): Promise<Found> {
  const [told, held] = await Promise.all([api.brief(block).catch(() => null), ground.block(block)]);
  const ofPack = (pack: BlockPack | null, drawings: Found["drawings"]): Found => ({
    brief: pack === null ? told?.brief : (pack.brief ?? null),
    hazards: pack?.hazards ?? [],
    drawings,
  });
  if (told !== null && (held === null || !isSame(held.brief, told.brief))) {
    // not here yet, or another version: its hazards and drawings come in one answer
    const fresh = await api.packs(farm.id, [block]).catch(() => null);
    const pack = fresh?.blocks[0];
    if (pack !== undefined) return ofPack(pack, new Map(Object.entries(fresh?.pictures ?? {})));
    return { ...ofPack(held, new Map()), brief: told.brief };
  }
  return ofPack(held, await ground.drawings(held?.pictures ?? []));
}

/** Read the brief of a block; that there is none, or that it cannot be had, stops nothing. */
export async function readBlockBrief(context: Context, block: BlockSummary): Promise<BlockBrief> {
  const { device, tablet, farm } = context;
  const here = await found(context, block.id);
  const { brief } = here;
  const card = (way: CardWay): HTMLElement =>
    briefCard({ ...here, read: before() }, { memory: tablet.memory, timeZone: farm.time_zone }, way);
  const before = (): ReadBrief | null => (brief ? readFrom(tablet.memory.briefRead(brief.brief_id)) : null);
  return {
    isDue: (day) => !device.hasReadCautions(block.id, day) || (brief ? isUnread(brief, before()) : false),
    noteRead(day) {
      device.readCautions(block.id, day);
      const read = before();
      if (!brief || !isUnread(brief, read)) return;
      const language = languageOf(brief.texts, tablet.memory.language()) ?? "";
      tablet.memory.setBriefRead(brief.brief_id, JSON.stringify(readOf(brief, language)));
    },
    due: (read) => card({ due: true, read }),
    over: (sheet, close) => briefOver(card({ due: false }), sheet, close),
  };
}
