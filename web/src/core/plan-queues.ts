/** Who prunes what next, as the board changes it, and when each block would be begun and done by what is expected. */

import { standingOf, type BlockStanding } from "./block-finish";
import type { Habit, Method } from "./contracts";
import type { Finish } from "./forecast-contracts";

/** What the service keeps of it, and what it takes. */
export interface Queues {
  queues: readonly { crew_id: string; blocks: readonly string[] }[];
  /** Given to nobody, in order. */
  open: readonly string[];
  /** Tablets show a crew's own blocks first. */
  own_first: boolean;
  /** That these were made from. */
  revision: number;
}
export interface PlanCrew {
  crew_id: string;
  people: number;
  /** Whether anything tells how many; else it is a guess. Not said by an older service. */
  people_known?: boolean;
  method: Method;
  /** Those expected of a working day: weather takes some. */
  hours_per_day: number;
  /** Trees of a person-hour at each bearing habit, going over faulty trees again included. */
  paces: Partial<Record<Habit, number>>;
}
export interface PlanBlock {
  /** Trees to prune. */
  left: number;
  habit: Habit;
  is_biennial: boolean;
  /** The one that holds: its own, or the season's. */
  must_finish_on: string;
  own_must_finish_on: string | null;
  platform_fits: boolean | null;
  closed: readonly (readonly [first: string, last: string])[];
  /** Who pruned in it last; null where nobody has begun. */
  worked: { crew_id: string; day: string } | null;
}
export interface PlanBoard extends Queues {
  season_id: string;
  cursor: number;
  must_finish_on: string;
  /** Working days from now on, in order. */
  days: readonly string[];
  crews: readonly PlanCrew[];
  /** Those with work left, by id. */
  blocks: Readonly<Record<string, PlanBlock>>;
}
export interface Proposal extends Queues {
  /** Of each block, why it stands where it does. */
  words: Readonly<Record<string, string>>;
}

/** Return the crew that a block is given to, or null, and its place there from 0; null where it is nowhere. */
export function whereIs({ queues, open }: Queues, block: string): { crew: string | null; at: number } | null {
  for (const { crew_id, blocks } of queues) if (blocks.includes(block)) return { crew: crew_id, at: blocks.indexOf(block) };
  return open.includes(block) ? { crew: null, at: open.indexOf(block) } : null;
}

/** Return the queues with a block at a place of a crew's queue, or of those given to nobody; a place beyond the end is the end. */
export function moved<Of extends Queues>(plan: Of, block: string, { crew, at }: { crew: string | null; at: number }): Of {
  const without = (blocks: readonly string[]): string[] => blocks.filter((one) => one !== block);
  const placed = (blocks: readonly string[], isHere: boolean): string[] => {
    const rest = without(blocks);
    if (isHere) rest.splice(Math.max(0, at), 0, block);
    return rest;
  };
  return {
    ...plan,
    queues: plan.queues.map((queue) => ({ ...queue, blocks: placed(queue.blocks, queue.crew_id === crew) })),
    open: placed(plan.open, crew === null),
  };
}

/** When a block is worked by what is expected, in working days from the morning of the first one, parts of days too. */
export interface Span {
  block: string;
  from: number;
  to: number;
  /** What the forecast says of it; absent where none is told. */
  finish?: Finish;
}
/** What the forecast says of queues, saved or not. */
export interface PlanForecast {
  missing: readonly string[];
  /** Of all blocks. */
  finish: Finish | null;
  chance: number | null;
  /** By id, those with work left. */
  blocks: Readonly<Record<string, Finish>>;
}

/** Return the working days of a span of days, as far as they are ahead: from the morning of the first to the evening of the last. */
export function workingDays(days: readonly string[], first: string, last: string): { from: number; to: number } {
  const firstAfter = (is: (day: string) => boolean): number => {
    const at = days.findIndex(is);
    return at < 0 ? days.length : at;
  };
  return { from: firstAfter((day) => day >= first), to: firstAfter((day) => day > last) };
}

/**
 * Return when a crew would be in each block of its queue by expected hours: one after the other, none begun while it is closed.
 * `lasting` are the working days of blocks of which more is known.
 */
export function spansOf(board: PlanBoard, crewId: string, queue: readonly string[], lasting?: ReadonlyMap<string, number>): Span[] {
  const crew = board.crews.find((one) => one.crew_id === crewId);
  let free = 0;
  return queue.flatMap((id) => {
    const block = board.blocks[id];
    if (block === undefined) return [];
    const perDay = (crew?.people ?? 0) * (crew?.hours_per_day ?? 0) * (crew?.paces[block.habit] ?? 0);
    const from = opensAt(board, id, free);
    const to = from + (lasting?.get(id) ?? (perDay > 0 ? block.left / perDay : 0));
    free = to;
    return [{ block: id, from, to }];
  });
}

/** Return the first working day from one on at which a block is open. */
function opensAt(board: PlanBoard, id: string, from: number): number {
  const closed = (board.blocks[id]?.closed ?? []).map(([first, last]) => workingDays(board.days, first, last)).sort((a, b) => a.from - b.from);
  return closed.reduce((at, shut) => (at >= shut.from && at < shut.to ? shut.to : at), from);
}

/**
 * Return when a crew is likely in each block of its queue by the forecast, in the order in which they are done; null where it
 * does not tell of all. Each begins where the one before is done; those done on one day share the time up to its evening by their trees.
 */
export function toldSpans(board: PlanBoard, queue: readonly string[], told: Readonly<Record<string, Finish>>): Span[] | null {
  const ends: Required<Span>[] = [];
  for (const block of queue.filter((id) => board.blocks[id] !== undefined)) {
    const finish = told[block];
    if (finish === undefined) return null;
    ends.push({ block, from: 0, to: finish.p50 === null ? board.days.length : workingDays(board.days, finish.p50, finish.p50).to, finish });
  }
  ends.sort((a, b) => a.to - b.to);
  const trees = (some: readonly Span[]): number => some.reduce((sum, { block }) => sum + (board.blocks[block]?.left ?? 0), 0);
  let free = 0;
  return ends.map((span, n) => {
    const rest = ends.slice(n).filter(({ to }) => to === span.to);
    const opens = opensAt(board, span.block, free);
    const from = opens < span.to ? opens : free;
    free = from + ((span.to - from) * trees([span])) / trees(rest);
    return { ...span, from, to: free };
  });
}

/** Return the day on which a span ends; null beyond the days that are known. */
export function lastDay(days: readonly string[], { from, to }: Span): string | null {
  return days[Math.max(Math.floor(from), Math.ceil(to - 1e-9) - 1)] ?? null;
}

/** Return the day on which a span begins; null beyond the days that are known. */
export function firstDay(days: readonly string[], { from }: Pick<Span, "from">): string | null {
  return days[Math.floor(from + 1e-9)] ?? null;
}

/** Tell how a block stands against its day: by the forecast where there is one. */
export function spanStanding(board: PlanBoard, span: Span): BlockStanding {
  if (span.finish !== undefined) return standingOf(span.finish, board.blocks[span.block]?.must_finish_on ?? board.must_finish_on);
  return isLate(board, span) ? "late" : "in_time";
}

/** Tell whether a block would be done after its day by expected hours. */
export function isLate(board: PlanBoard, span: Span): boolean {
  const must = board.blocks[span.block]?.must_finish_on ?? board.must_finish_on;
  const done = lastDay(board.days, span);
  return done === null || done > must;
}

/** How many working days the board is wide: past the last block and the day by which all must be done, in whole weeks. */
export function boardWidth(board: PlanBoard, spans: readonly Span[]): number {
  const ends = spans.map(({ to }) => to);
  const must = workingDays(board.days, board.must_finish_on, board.must_finish_on).from + 1;
  const wanted = Math.ceil(Math.max(5, must, ...ends)) + 1;
  return Math.min(board.days.length, wanted);
}

/** Return what of a span lies on a board so many working days wide: what is done beyond the days that are known ends at its edge. */
export function onBoard({ from, to }: Pick<Span, "from" | "to">, width: number): { from: number; to: number } {
  return { from: Math.min(from, width), to: Math.min(to, width) };
}

/** Return where weeks begin on the board: index of the first working day of each, and that day. */
export function weeksOf(days: readonly string[]): { at: number; day: string }[] {
  const monday = (day: string): number => {
    const ms = Date.parse(`${day}T00:00:00Z`);
    return Math.floor((ms / 86_400_000 + 3) / 7);
  };
  return days.flatMap((day, at) => (at === 0 || monday(day) !== monday(days[at - 1] ?? day) ? [{ at, day }] : []));
}

export interface Change {
  block: string;
  /** Null for nobody. */
  from: string | null;
  to: string | null;
  /** Places from 0. */
  was: number;
  now: number;
}

/** Return the blocks that another crew would have, or that would stand elsewhere in their crew's order. */
export function changesOf(before: Queues, after: Queues): Change[] {
  const listed = [...after.queues.flatMap(({ blocks }) => blocks), ...after.open];
  return listed.flatMap((block) => {
    const [was, now] = [whereIs(before, block), whereIs(after, block)];
    if (was === null || now === null || (was.crew === now.crew && was.at === now.at)) return [];
    return [{ block, from: was.crew, to: now.crew, was: was.at, now: now.at }];
  });
}

/** Return the queues of a newer reading with the crew and order that somebody chose here, as far as both know the blocks. */
export function wished(fresh: PlanBoard, mine: Queues): Queues {
  const isHere = (block: string): boolean => fresh.blocks[block] !== undefined;
  const named = new Set([...mine.queues.flatMap(({ blocks }) => blocks), ...mine.open]);
  const queues = fresh.queues.map(({ crew_id, blocks }) => ({
    crew_id,
    blocks: [...(mine.queues.find((queue) => queue.crew_id === crew_id)?.blocks ?? []).filter(isHere), ...blocks.filter((block) => !named.has(block))],
  }));
  const placed = new Set(queues.flatMap(({ blocks }) => blocks));
  // what a crew had that is gone is here too
  const open = new Set([...mine.open.filter(isHere), ...Object.keys(fresh.blocks)]);
  return { queues, open: [...open].filter((block) => !placed.has(block)), own_first: mine.own_first, revision: fresh.revision };
}
