/** The overview of a part of the farm: a variety's blocks, a crew's trees, another day's work. */

import type { BlockSummary, Figures, Overview } from "./contracts";
import { prunedBy, recentPace, soFar, type Part, type SeasonDays } from "./season-days";

/** What is looked at; null is everything. */
export interface Chosen {
  crew: string | null;
  /** By name, as blocks say it. */
  variety: string | null;
}
export interface Glance {
  day: string;
  figures: Figures;
  blocks: readonly BlockSummary[];
  /** Of the chosen crew, its trees in each block; null where none is chosen. */
  own: ReadonlyMap<string, number> | null;
}

/** Tell whether all of the farm is looked at. */
export function isWhole({ crew, variety }: Chosen): boolean {
  return crew === null && variety === null;
}

/** Return the blocks that are looked at: of the variety; of a crew those that it was given and those where it pruned, in which season or day ever. */
export function chosenBlocks(blocks: readonly BlockSummary[], { crew, variety }: Chosen, season: SeasonDays | null): readonly BlockSummary[] {
  const at = crew === null ? -1 : (season?.crews.indexOf(crew) ?? -1);
  const worked = new Set(at < 0 ? [] : season?.credited.filter((line) => line[2] === at).map((line) => season.blocks[line[1]]?.[0]));
  return blocks.filter(
    (block) => (variety === null || block.variety === variety) && (crew === null || block.queue?.crew_id === crew || worked.has(block.id)),
  );
}

/** Return the part of a season that is looked at. */
export function partOf(blocks: readonly BlockSummary[], chosen: Chosen): Part {
  return { blocks: isWhole(chosen) ? null : new Set(blocks.map(({ id }) => id)), crew: chosen.crew };
}

/** Return what is looked at of an overview; without the days of the season a crew's own trees are not known. */
export function glanceOf(overview: Overview, chosen: Chosen, season: SeasonDays | null): Glance {
  const { day } = overview;
  if (isWhole(chosen)) return { day, figures: overview.figures, blocks: overview.blocks, own: null };
  const blocks = chosenBlocks(overview.blocks, chosen, season);
  const part = partOf(blocks, chosen);
  const pace = season === null ? null : recentPace(soFar(season, day, part));
  const own = chosen.crew === null || season === null ? null : prunedBy(season, day, part);
  return { day, blocks, own, figures: figuresOf(blocks, overview.figures, pace) };
}

/** Return the overview as it was at another day as far as the days of the season tell it: trees. Checks, rows and verdicts stay those of its own day. */
export function onDay(overview: Overview, day: string, season: SeasonDays): Overview {
  const pruned = prunedBy(season, day, { blocks: null, crew: null });
  const blocks = overview.blocks.map((block) => ({ ...block, pruned: pruned.get(block.id) ?? 0 }));
  return { ...overview, day, blocks, figures: { ...figuresOf(blocks, overview.figures, recentPace(soFar(season, day, { blocks: null, crew: null }))), needed_per_day: null, working_days_left: null, season_ended_on: null } };
}

/** What goes on with each mark, by block: pruned trees, overlap trees, finished rows. */
export interface PrunedNow {
  day: string;
  cursor: number;
  epoch: string;
  blocks: Record<string, [pruned: number, overlap: number, rowsDone: number]>;
}

/** Tell whether sums tell of marks that an overview of the same day does not hold. */
export function isNewer(now: PrunedNow, { day, cursor, epoch }: Pick<Overview, "day" | "cursor" | "epoch">): boolean {
  return now.day === day && now.epoch === epoch && now.cursor > cursor;
}

/** Return an overview of today with the marks that came since; checks, verdicts and paces stay those that were read. */
export function withMarks(overview: Overview, { cursor, epoch, blocks: now }: PrunedNow): Overview {
  const blocks = overview.blocks.map((block) => {
    const [pruned, overlap, rows_done] = now[block.id] ?? [0, 0, 0];
    return { ...block, pruned, overlap, rows_done };
  });
  const { figures } = overview;
  const pace = figures.recent_per_day === null ? null : { perDay: figures.recent_per_day, days: figures.recent_days };
  const { trees, pruned, share, rows_done, overlap_trees, trees_left, needed_per_day } = figuresOf(blocks, figures, pace);
  return { ...overview, cursor, epoch, blocks, figures: { ...figures, trees, pruned, share, rows_done, overlap_trees, trees_left, needed_per_day } };
}

/** Add the figures of blocks up; the calendar's are those of the farm. */
function figuresOf(blocks: readonly BlockSummary[], farm: Figures, pace: ReturnType<typeof recentPace>): Figures {
  const total = (of: (block: BlockSummary) => number | undefined): number => blocks.reduce((sum, block) => sum + (of(block) ?? 0), 0);
  const [trees, pruned] = [total((one) => one.trees), total((one) => one.pruned)];
  const days = farm.working_days_left;
  const lots = { accepted: 0, accepted_in_part: 0, send_back: 0, too_few: 0 };
  for (const { verdict } of blocks) if (verdict !== "not_begun") lots[verdict] += 1;
  return {
    ...farm,
    trees,
    pruned,
    share: trees > 0 ? pruned / trees : 0,
    rows: total((one) => one.rows),
    rows_done: total((one) => one.rows_done),
    overlap_trees: total((one) => one.overlap),
    set_aside: total((one) => one.set_aside),
    trees_left: trees - pruned,
    needed_per_day: days ? Math.ceil((trees - pruned) / days) : null,
    recent_per_day: pace?.perDay ?? null,
    recent_days: pace?.days ?? 0,
    checked: total((one) => one.checked),
    meets: total((one) => one.meets),
    minor: total((one) => one.minor),
    faulty: total((one) => one.faulty),
    gone_over: total((one) => one.gone_over),
    drawn: total((one) => one.drawn),
    drawn_faulty: total((one) => one.drawn_faulty),
    faulty_gone_over: total((one) => one.faulty_gone_over),
    lots,
    weak_areas: total((one) => one.weak),
  };
}
