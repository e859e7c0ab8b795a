/** The brief of one block with its hazards and drawings, as far as they are to be had: from the service, else from this tablet. */

import type { BriefVersion, Hazard } from "../../core/brief-contracts";
import { cautionsRead, hazardsOn, hazardsRead, isUnread, languageOf, newHazards, readFrom, readOf, type ReadBrief } from "../../core/brief-reading";
import { briefWords } from "../../core/brief-wording";
import type { BlockPack, BlockSummary } from "../../core/contracts";
import { settle } from "../../ui/settling";
import type { Context } from "../context";
import type { Panel } from "../rows/action-bar";
import { briefCard, cautionsOf, type CardWay } from "./brief-card";
import { briefOver } from "./brief-over";
import { speakerOf } from "./brief-speaker";

/** What there is to show. */
export interface BriefParts {
  /** Null where none is published, undefined where that is not known. */
  brief: BriefVersion | null | undefined;
  /** Cautions by language where no brief says them, with the distances of the farm; undefined where the service was not heard. */
  cautions: Readonly<Record<string, readonly string[]>> | undefined;
  /** Those of the block, and what its weather calls for today. */
  hazards: readonly Hazard[];
  /** Drawings by digest, as SVG. */
  drawings: ReadonlyMap<string, string>;
}
export interface BlockBrief {
  /** Tell whether it must be read before anything is marked: once a day, and another version or another hazard on the same day. */
  isDue(day: string): boolean;
  /**
   * Return the card to read on a day before anything is marked; `say` hears in the card's language that it comes first. Once read
   * it puts itself away, and `read` hears so.
   */
  due(day: string, say: (words: string) => void, read: () => void): HTMLElement;
  /**
   * Hear, in words, of a version or a hazard that reached this tablet since, and nothing ("") once the card is looked at, which
   * shows it. Returns the way to stop.
   */
  watch(say: (words: string) => void): () => void;
  /** Return the card for whoever asks for it. */
  opened(): HTMLElement;
  /** Lay the card over what `sheet` shows until the panel is left. */
  over(sheet: HTMLElement, close: () => void): Panel;
}

/** Under this the tablet keeps which cautions were read, of any block. */
const CAUTIONS = "cautions";

const isSame = (one: BriefVersion | null | undefined, other: BriefVersion | null | undefined): boolean =>
  one?.brief_id === other?.brief_id && one?.version === other?.version;

/** Tell whether the tablet holds an older version than the one that the service told it. */
const isOlder = (held: BriefVersion | null | undefined, told: BriefVersion | null | undefined): boolean =>
  !!held && !!told && held.brief_id === told.brief_id && held.version < told.version;

/** Gather what there is to show; that something of it cannot be had stops nothing. */
export async function briefParts({ api, farm, ground }: Pick<Context, "api" | "farm" | "ground">, block: string): Promise<BriefParts> {
  const [told, held] = await Promise.all([api.brief(block).catch(() => null), ground.block(block)]);
  const ofPack = (pack: BlockPack | null, drawings: BriefParts["drawings"]): BriefParts => ({
    brief: pack === null ? told?.brief : (pack.brief ?? null),
    cautions: pack?.cautions ?? undefined,
    hazards: hazardsOn(farm.today, pack?.hazards ?? [], pack?.timing ?? []),
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
  const { memory } = tablet;
  let [here, speaker] = await Promise.all([briefParts(context, block.id), speakerOf(memory.briefLanguage())]);
  let remind: (words: string) => void = () => undefined;
  /** Lays the card that must be read anew, while it lies there. */
  let renew: (() => void) | null = null;
  type Brief = BriefParts["brief"];
  const hazardsKey = `hazards.${block.id}`;
  const before = (brief: Brief): ReadBrief | null => (brief ? readFrom(memory.briefRead(brief.brief_id)) : null);
  const isNews = (brief: Brief): brief is BriefVersion => !!brief && isUnread(brief, before(brief));
  const unread = (hazards: readonly Hazard[]): Hazard[] => newHazards(hazards, memory.briefRead(hazardsKey));
  const noteRead = (day: string, { brief, hazards, cautions: general }: BriefParts): void => {
    device.readCautions(block.id, day);
    memory.setBriefRead(hazardsKey, hazardsRead(hazards));
    const cautions = cautionsOf({ brief, cautions: general });
    const words = cautions[languageOf(cautions, memory.briefLanguage()) ?? "en"] ?? [];
    memory.setBriefRead(CAUTIONS, cautionsRead(words, memory.briefRead(CAUTIONS)));
    if (!isNews(brief)) return;
    const language = languageOf(brief.texts, memory.briefLanguage()) ?? "";
    memory.setBriefRead(brief.brief_id, JSON.stringify(readOf(brief, language)));
  };
  const card = (way: CardWay): HTMLElement => {
    remind("");
    const read = { brief: before(here.brief), newHazards: unread(here.hazards), isFirst: memory.briefRead(hazardsKey) === null, cautions: memory.briefRead(CAUTIONS) };
    return briefCard(here, read, { code: block.code, memory, timeZone: farm.time_zone, speaker: () => speaker, speak }, way);
  };
  const speak = async (code: string): Promise<void> => {
    memory.setBriefLanguage(code);
    const found = await speakerOf(code);
    if (memory.briefLanguage() === code) speaker = found;
  };
  return {
    isDue: (day) => !device.hasReadCautions(block.id, day) || isNews(here.brief) || unread(here.hazards).length > 0,
    due(day, say, read) {
      const laid = (): HTMLElement => {
        const shown = here; // what is on the card, whatever comes meanwhile
        const noted = (): void => {
          renew = null;
          noteRead(day, shown);
          read();
        };
        return card({ due: true, read: noted, say });
      };
      let now = laid();
      renew = () => {
        const before = now;
        now = laid();
        before.replaceWith(now);
        settle(now); // the finger may be on its way to what was there
      };
      return now;
    },
    watch(say) {
      remind = say;
      const look = async (): Promise<void> => {
        const held = await ground.block(block.id);
        if (held === null || isOlder(held.brief, here.brief)) return;
        const hazards = hazardsOn(farm.today, held.hazards ?? [], held.timing ?? []);
        const known = hazardsRead(here.hazards);
        if (isSame(held.brief, here.brief) && hazardsRead(hazards) === known) return;
        const isNewer = !isSame(held.brief, here.brief) && isNews(held.brief);
        here = await briefParts(context, block.id);
        if (renew !== null) return renew();
        const words = speaker.say(briefWords);
        const isDanger = newHazards(here.hazards, known).length > 0;
        if (isDanger || isNewer) say([isDanger ? words.danger : "", isNewer ? words.meanwhile : ""].join(" ").trim());
      };
      return ground.listen(look);
    },
    opened: () => card({ due: false }),
    over: (sheet, close) => briefOver(card({ due: false }), speaker.say(briefWords).back, sheet, close),
  };
}
