/** Which varieties and blocks have a brief this season, and which have none. */

import type { BearingHabit, BriefLine, BriefSubject, Cultivar } from "./brief-contracts";
import type { BlockSummary, Habit, Season, Variety } from "./contracts";

export interface OwnBrief {
  block: BlockSummary;
  brief: BriefLine;
}
export interface VarietyLine {
  variety: Variety;
  brief: BriefLine | null;
  /** Those planted with it. */
  blocks: readonly BlockSummary[];
  trees: number;
  /** Blocks among them that have a brief of their own. */
  own: readonly OwnBrief[];
}
export interface BriefList {
  /** Varieties: those without a brief first, the ones with most trees before others; then by name. */
  varieties: readonly VarietyLine[];
  /** Blocks that no variety is named for, and without a brief of their own. */
  bare: readonly BlockSummary[];
  /** Blocks that no variety is named for, with one of their own. */
  apart: readonly OwnBrief[];
}

/** Return the season's list. A farm's varieties differ by name, and blocks name theirs so. */
export function briefList(varieties: readonly Variety[], blocks: readonly BlockSummary[], briefs: readonly BriefLine[]): BriefList {
  const ofBlock = new Map(briefs.flatMap((brief) => (brief.block_id === null ? [] : [[brief.block_id, brief] as const])));
  const owned = (some: readonly BlockSummary[]): OwnBrief[] =>
    some.flatMap((block) => {
      const brief = ofBlock.get(block.id);
      return brief === undefined ? [] : [{ block, brief }];
    });
  const lines = varieties.map((variety): VarietyLine => {
    const own = blocks.filter((block) => block.variety === variety.name);
    return {
      variety,
      brief: briefs.find((brief) => brief.variety_id === variety.id) ?? null,
      blocks: own,
      trees: own.reduce((sum, { trees }) => sum + trees, 0),
      own: owned(own),
    };
  });
  const known = new Set(varieties.map(({ name }) => name));
  const unnamed = blocks.filter(({ variety }) => variety === null || !known.has(variety));
  const byNeed = (one: VarietyLine, other: VarietyLine): number => {
    if ((one.brief === null) !== (other.brief === null)) return one.brief === null ? -1 : 1;
    if (one.brief === null && one.trees !== other.trees) return other.trees - one.trees;
    return one.variety.name.localeCompare(other.variety.name);
  };
  return { varieties: lines.sort(byNeed), bare: unnamed.filter(({ id }) => !ofBlock.has(id)), apart: owned(unnamed) };
}

export interface ListParts {
  /** Varieties and blocks that nobody wrote a brief for. */
  needed: { varieties: readonly VarietyLine[]; blocks: readonly BlockSummary[] };
  /** Those whose brief was never published: crews have none. */
  unpublished: { varieties: readonly VarietyLine[]; blocks: readonly OwnBrief[] };
  /** Those that crews go by a brief for. */
  published: { varieties: readonly VarietyLine[]; blocks: readonly OwnBrief[] };
}

/** Return the list in three parts. */
export function listParts({ varieties, bare, apart }: BriefList): ListParts {
  const isOut = ({ brief }: { brief: BriefLine | null }): boolean => brief !== null && brief.latest !== null;
  const written = varieties.filter(({ brief }) => brief !== null);
  return {
    needed: { varieties: varieties.filter(({ brief }) => brief === null), blocks: bare },
    unpublished: { varieties: written.filter((one) => !isOut(one)), blocks: apart.filter((one) => !isOut(one)) },
    published: { varieties: written.filter(isOut), blocks: apart.filter(isOut) },
  };
}

/** Return the ready-made briefs to offer first, as the service lists them for cultivars that fruit alike; all are as good where nothing is known. */
export function suitingHabits(habit: Habit, cultivars: readonly Cultivar[]): readonly BearingHabit[] {
  return cultivars.find((one) => one.habit === habit)?.suiting_habits ?? [];
}

export interface HabitSaid {
  habit: Habit;
  /** Who says so. */
  source: string;
}

/**
 * Return what a new variety's habit and source become when its name is typed: those of the known variety of that name,
 * and nothing any more when the name is typed on. Whatever somebody chose by hand stays.
 */
export function suggested(now: HabitSaid, before: Cultivar | undefined, known: Cultivar | undefined): HabitSaid {
  const { habit, source } = before ?? { habit: "unknown", source: "" };
  if (now.habit !== habit || now.source !== source) return now;
  return known === undefined ? { habit: "unknown", source: "" } : { habit: known.habit, source: known.source };
}

/** Return the brief there is for a variety or block among a season's, or null. */
export function briefOf(briefs: readonly BriefLine[], subject: BriefSubject): BriefLine | null {
  const isFor = (one: BriefLine): boolean => ("block_id" in subject ? one.block_id === subject.block_id : one.variety_id === subject.variety_id);
  return briefs.find(isFor) ?? null;
}

/** Return the brief to copy first: for a block the one of its variety, which holds for it so far; else the first there is. */
export function firstToCopy(briefs: readonly BriefLine[], variety: string | null): BriefLine | null {
  return briefs.find(({ variety_id }) => variety_id !== null && variety_id === variety) ?? briefs[0] ?? null;
}

/** Return the blocks that a brief holds for: those of its variety for which none of their own was published. */
export function heldBy( covered: readonly BlockSummary[], briefs: readonly BriefLine[]): BlockSummary[] {
  const owned = new Set(briefs.filter(({ latest }) => latest !== null).map(({ block_id }) => block_id));
  return covered.filter(({ id }) => !owned.has(id));
}

/** Return the season that opened last before this one, or null. */
export function seasonBefore(seasons: readonly Season[], { opens_on }: Season): Season | null {
  const earlier = seasons.filter((season) => season.opens_on < opens_on);
  return earlier.reduce<Season | null>((last, one) => (last === null || one.opens_on > last.opens_on ? one : last), null);
}

/** Return the briefs of another season that have no counterpart in this one. */
export function notTakenOver(earlier: readonly BriefLine[], now: readonly BriefLine[]): BriefLine[] {
  const there = new Set(now.map(({ variety_id, block_id }) => variety_id ?? block_id));
  return earlier.filter(({ variety_id, block_id }) => !there.has(variety_id ?? block_id));
}

export interface SourcePart {
  words: string;
  /** Where it can be read on the web, or null. */
  address: string | null;
}

/** Return a source's parts, each with its address apart: an address is long, and says less than its words. */
export function sourceParts(source: string): SourcePart[] {
  return source.split("; ").map((part) => {
    const found = /^(.+): (https?:\/\/\S+)$/.exec(part);
    return found === null ? { words: part, address: null } : { words: found[1] ?? part, address: found[2] ?? null };
  });
}
