/** One block as the rows and checks screens work with it: its immutable shape and its state of a day. */

import type { BlockShape, BlockState, BlockSummary } from "../core/contracts";
import type { Context } from "./context";

export interface BlockReading {
  block: BlockSummary;
  shape: BlockShape;
  state: BlockState;
  /** Positions of the longest row: the scale of all strips. */
  longest: number;
}

/** Read shape and state of a block. */
export async function readBlock(context: Context, block: BlockSummary, day: string): Promise<BlockReading> {
  const [shape, state] = await Promise.all([
    context.api.shape(block.id, block.shape_version),
    context.api.state(block.id, day),
  ]);
  return { block, shape, state, longest: Math.max(1, ...shape.rows.map((row) => row.p)) };
}
