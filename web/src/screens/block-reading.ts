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
  const [read, { shape_version: version = block.shape_version }, state, { brief }] = await Promise.all([
    context.api.shape(block.id, block.shape_version),
    context.api.log(block.id),
    context.api.state(block.id, day),
    // an older service has no briefs: that is in the way of no check
    context.api.brief(block.id).catch(() => ({ brief: null })),
  ]);
  // the overview that the block was picked from may be older than its rows
  const shape = version === read.version ? read : await context.api.shape(block.id, version);
  return { block, shape, state, brief, longest: Math.max(1, ...shape.rows.map((row) => row.p)) };
}
