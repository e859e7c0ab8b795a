/** One block as the rows and checks screens work with it: its immutable shape and its state of a day. */

import type { BriefVersion } from "../core/brief-contracts";
import type { BlockShape, BlockState, BlockSummary } from "../core/contracts";
import type { Context } from "./context";

export interface BlockReading {
  block: BlockSummary;
  shape: BlockShape;
  state: BlockState;
  /** Positions of the longest row: the scale of all strips. */
  longest: number;
  /** What its trees are judged by; null where no brief is published, or none is known here. */
  brief: BriefVersion | null;
}

/** Read shape, state and brief of a block. */
export async function readBlock(context: Context, block: BlockSummary, day: string): Promise<BlockReading> {
  const [shape, state, { brief }] = await Promise.all([
    context.api.shape(block.id, block.shape_version),
    context.api.state(block.id, day),
    // an older service has no briefs: that is in the way of no check
    context.api.brief(block.id).catch(() => ({ brief: null })),
  ]);
  return { block, shape, state, brief, longest: Math.max(1, ...shape.rows.map((row) => row.p)) };
}
