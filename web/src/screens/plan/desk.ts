/** What every part of the board is given. */

import type { BlockSummary } from "../../core/contracts";
import { firstDay, lastDay, spansOf, toldSpans, whereIs, type PlanBoard, type PlanForecast, type Queues, type Span } from "../../core/plan-queues";
import { PLAN } from "../../core/plan-wording";

export interface PlanDesk {
  /** As the service keeps it. */
  board: PlanBoard;
  /** As it stands here. */
  plan: Queues;
  /** What the forecast says of it as it stands here; null until it is told. */
  told: PlanForecast | null;
  /** Working days of each block as they were drawn last, until the forecast tells anew. */
  lasting: ReadonlyMap<string, number>;
  /** By id of the block. */
  names: ReadonlyMap<string, Pick<BlockSummary, "code" | "variety">>;
  crews: ReadonlyMap<string, string>;
  /** The block that is being looked at. */
  picked: string | null;
  pick(block: string | null): void;
  /** Put a block at a place, 0 for the first, of a crew (null: of nobody). */
  move(block: string, to: { crew: string | null; at: number }): void;
}

/** Return what people call a block. */
export function codeOf({ names }: PlanDesk, block: string): string {
  return names.get(block)?.code ?? "";
}

/** Return a crew's name; null is nobody. */
export function crewName({ crews }: PlanDesk, crew: string | null): string {
  return crew === null ? PLAN.nobody : (crews.get(crew) ?? "");
}

/** Return the spans of a crew's queue as it stands here. */
export function spansHere({ board, plan, told, lasting }: PlanDesk, crewId: string): Span[] {
  const blocks = plan.queues.find(({ crew_id }) => crew_id === crewId)?.blocks ?? [];
  return (told === null ? null : toldSpans(board, blocks, told.blocks)) ?? spansOf(board, crewId, blocks, lasting);
}

/** Return the days of a span in words. */
export function daysOf({ board }: PlanDesk, span: Span): string {
  return PLAN.days(firstDay(board.days, span), lastDay(board.days, span));
}

/** Return in words that another crew prunes in a block than it is given to; null where that is not so. */
export function elsewhere(desk: PlanDesk, block: string): string | null {
  const worked = desk.board.blocks[block]?.worked ?? null;
  const given = whereIs(desk.plan, block)?.crew ?? null;
  if (worked === null || worked.crew_id === given) return null;
  const who = crewName(desk, worked.crew_id);
  return given === null ? PLAN.elsewhereNobody(who) : PLAN.elsewhere(who, crewName(desk, given));
}

/** Move a block one place sooner (-1) or later (1). */
export function shift(desk: PlanDesk, block: string, by: number): void {
  const here = whereIs(desk.plan, block);
  if (here !== null && here.at + by >= 0) desk.move(block, { crew: here.crew, at: here.at + by });
}

/** Move a block to the crew above (-1) or below (1); nobody is below the last one. */
export function shiftCrew(desk: PlanDesk, block: string, by: number): void {
  const here = whereIs(desk.plan, block);
  if (here === null) return;
  const all: (string | null)[] = [...desk.plan.queues.map(({ crew_id }) => crew_id), null];
  const to = all[all.indexOf(here.crew) + by];
  if (to !== undefined) desk.move(block, { crew: to, at: here.at });
}
