/** What of a plan was changed on this device and not saved, from one visit to the next. */

import { changesOf, wished, type PlanBoard, type Queues } from "./plan-queues";

interface Draft extends Queues {
  season_id: string;
}

/** Return what the device keeps of a plan: ids and their order. */
export function draftText({ season_id }: PlanBoard, { queues, open, own_first, revision }: Queues): string {
  return JSON.stringify({ season_id, queues, open, own_first, revision } satisfies Draft);
}

/** Tell whether a plan differs from what is saved. */
export function isChanged(board: PlanBoard, plan: Queues): boolean {
  return plan.own_first !== board.own_first || changesOf(board, plan).length > 0;
}

/**
 * Return the plan as it was left here, over the board as it is read now, and whether others were saved meanwhile; null where
 * nothing was left that differs. What another season's plan was, or what cannot be read, is nothing.
 */
export function draftOf(text: string | null, board: PlanBoard): { plan: Queues; isOvertaken: boolean } | null {
  if (text === null) return null;
  let draft: Draft;
  try {
    draft = JSON.parse(text) as Draft;
    if (draft.season_id !== board.season_id) return null;
    const plan = wished(board, draft);
    return isChanged(board, plan) ? { plan, isOvertaken: draft.revision !== board.revision } : null;
  } catch {
    return null;
  }
}
