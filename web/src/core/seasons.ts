/**
 * Which season a day belongs to, and what of an earlier one may be shown in it: the ground it was done on, none of the work.
 *
 * A season turns by the calendar alone. No record tells of it, so a device without a connection must know it by itself.
 */

import type { BlockLog, BlockPack, BlockState, BlockSummary, Farm, Overview, Season } from "./contracts";
import { dayIn } from "./ahead";

/** Return the season that a day belongs to: the last one opened by then, else the first one ahead. As the service reckons it. */
export function seasonOn(seasons: readonly Season[], day: string): Season | null {
  const inOrder = [...seasons].sort((a, b) => (a.opens_on < b.opens_on ? -1 : 1));
  return inOrder.filter(({ opens_on }) => opens_on <= day).at(-1) ?? inOrder[0] ?? null;
}

/**
 * Return a farm that was kept as it is now.
 *
 * A device's clock that was set back takes it into no season before the one that the service last told.
 */
export function farmNow(kept: Farm, nowMs: number): Farm {
  const today = dayIn(kept.time_zone, nowMs);
  return { ...kept, today, season: seasonOn(kept.seasons, today > kept.today ? today : kept.today) };
}

/** Tell whether what was read in `readIn` says nothing of the farm's season now. */
export function isOfEarlierSeason(readIn: string | null, farm: Pick<Farm, "season">): boolean {
  return readIn !== (farm.season?.id ?? null);
}

/** Return a block as it stands in the farm's season: what another season's log, state and brief say counts nothing. */
export function packInSeason<Pack extends Pick<BlockPack, "log" | "state" | "brief">>(pack: Pack, farm: Pick<Farm, "season" | "crews">): Pack {
  const log = withCrews(pack.log, farm.crews);
  const state = withCrews(pack.state, farm.crews);
  if (!isOfEarlierSeason(log.season_id, farm)) return { ...pack, log, state };
  const season_id = farm.season?.id ?? null;
  return { ...pack, log: { ...log, season_id, marks: [], settlements: [], returns: [] }, state: withoutWork(state), brief: null };
}

/** Return the state without what was pruned and checked. */
export function withoutWork(state: BlockState): BlockState {
  return { ...state, runs: [], checks: [] };
}

/** Return the same with the crews that the farm has got since at the end: own marks of theirs are known by them. */
function withCrews<Read extends Pick<BlockLog, "crews">>(read: Read, crews: Farm["crews"]): Read {
  const known = new Set(read.crews.map(({ id }) => id));
  const added = crews.filter(({ id }) => !known.has(id)).map(({ id, name }) => ({ id, name }));
  return { ...read, crews: [...read.crews, ...added] };
}

const NOTHING_DONE = {
  pruned: 0, overlap: 0, overlap_rows: [], set_aside: 0, checked: 0, faulty: 0, minor: 0, drawn: 0, drawn_faulty: 0, again: 0,
  must_check: null, may_fail: null, verdict: "not_begun", queue: null,
} satisfies Partial<BlockSummary>;

/** Return an overview as it stands in the farm's season: over one of another season nothing is pruned yet. */
export function overviewInSeason(overview: Overview, farm: Pick<Farm, "season">): Overview {
  if (!isOfEarlierSeason(overview.season_id, farm)) return overview;
  const { trees, rows } = overview.figures;
  const figures = {
    trees, rows, trees_left: trees,
    pruned: 0, share: 0, rows_done: 0, overlap_trees: 0, set_aside: 0, checked: 0, meets: 0, minor: 0, faulty: 0, drawn: 0, drawn_faulty: 0,
    working_days_left: null, needed_per_day: null, recent_per_day: null, recent_days: 0,
    lots: { accepted: 0, accepted_in_part: 0, send_back: 0, too_few: 0 },
  };
  const blocks = overview.blocks.map((block): BlockSummary => ({ ...block, ...NOTHING_DONE }));
  return { ...overview, season_id: farm.season?.id ?? null, figures, blocks };
}
