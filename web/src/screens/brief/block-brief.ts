/** The brief of one block with its hazards and drawings, as far as they are to be had: from the service, else from this tablet. */

import type { BriefVersion, Hazard } from "../../core/brief-contracts";
import { isUnread, languageOf, readFrom, readOf, type ReadBrief } from "../../core/brief-reading";
import { BRIEF } from "../../core/brief-wording";
import type { BlockPack, BlockSummary } from "../../core/contracts";
import type { Context } from "../context";
import type { Panel } from "../rows/action-bar";
import { briefCard, type CardWay } from "./brief-card";
import { briefOver } from "./brief-over";

/** What there is to show. */
export interface BriefParts {
  /** Null where none is published, undefined where that is not known. */
  brief: BriefVersion | null | undefined;
  hazards: readonly Hazard[];
  /** Drawings by digest, as SVG. */
  drawings: ReadonlyMap<string, string>;
}
export interface BlockBrief {
  /** Tell whether it must be read before anything is marked: once a day, and another version on the same day. */
  isDue(day: string): boolean;
  /** Return the card to read on a day before anything is marked; once read it puts itself away, and `read` hears so. */
  due(day: string, read: () => void): HTMLElement;
  /** Hear, in words, of a version that reached this tablet since; the card shows it from then on. Returns the way to stop. */
  watch(say: (words: string) => void): () => void;
  /** Return the card for whoever asks for it. */
  opened(): HTMLElement;
  /** Lay the card over what `sheet` shows until the panel is left. */
  over(sheet: HTMLElement, close: () => void): Panel;
}

const isSame = (one: BriefVersion | null | undefined, other: BriefVersion | null | undefined): boolean =>
  one?.brief_id === other?.brief_id && one?.version === other?.version;

/** Gather what there is to show; that something of it cannot be had stops nothing. */
export async function briefParts({ api, farm, ground }: Pick<Context, "api" | "farm" | "ground">, block: string): Promise<BriefParts> {
  const [told, held] = await Promise.all([api.brief(block).catch(() => null), ground.block(block)]);
  const ofPack = (pack: BlockPack | null, drawings: BriefParts["drawings"]): BriefParts => ({
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

/** Read the brief of a block. */
export async function readBlockBrief(context: Context, block: BlockSummary): Promise<BlockBrief> {
  const { device, ground, tablet, farm } = context;
  let here = await briefParts(context, block.id);
  type Brief = BriefParts["brief"];
  const before = (brief: Brief): ReadBrief | null => (brief ? readFrom(tablet.memory.briefRead(brief.brief_id)) : null);
  const isNews = (brief: Brief): brief is BriefVersion => !!brief && isUnread(brief, before(brief));
  const noteRead = (day: string, brief: Brief): void => {
    device.readCautions(block.id, day);
    if (!isNews(brief)) return;
    const language = languageOf(brief.texts, tablet.memory.briefLanguage()) ?? "";
    tablet.memory.setBriefRead(brief.brief_id, JSON.stringify(readOf(brief, language)));
  };
  const card = (way: CardWay): HTMLElement =>
    briefCard(here, before(here.brief), { code: block.code, memory: tablet.memory, timeZone: farm.time_zone }, way);
  return {
    isDue: (day) => !device.hasReadCautions(block.id, day) || isNews(here.brief),
    due(day, read) {
      const { brief } = here; // what is on the card, whatever comes meanwhile
      const noted = (): void => {
        noteRead(day, brief);
        read();
      };
      return card({ due: true, read: noted });
    },
    watch: (say) =>
      ground.listen(async () => {
        const held = await ground.block(block.id);
        if (held === null || isSame(held.brief, here.brief) || !isNews(held.brief)) return;
        here = await briefParts(context, block.id);
        say(BRIEF.meanwhile);
      }),
    opened: () => card({ due: false }),
    over: (sheet, close) => briefOver(card({ due: false }), sheet, close),
  };
}
