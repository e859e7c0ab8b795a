/** What a brief is for, by name. */

import type { BlockSummary, Farm } from "../../core/contracts";
import { NEW_BRIEF } from "../../core/briefs-wording";
import type { Context } from "../context";

interface Subject {
  variety_id?: string | null;
  block_id?: string | null;
}

/** Return the farm's blocks as of today. */
export async function blocksOf({ api, farm }: Context): Promise<BlockSummary[]> {
  return (await api.overview(farm.id, farm.today)).blocks;
}

/** Return the name of a variety or block, or null where the farm has no such one. */
export function subjectName({ varieties }: Farm, blocks: readonly BlockSummary[], { variety_id, block_id }: Subject): string | null {
  const block = blocks.find(({ id }) => id === block_id);
  if (block !== undefined) return NEW_BRIEF.forBlock(block.code);
  return varieties.find(({ id }) => id === variety_id)?.name ?? null;
}

/** Return the blocks that are planted with what a brief is for, or of its one block. */
export function coveredBlocks({ varieties }: Farm, blocks: readonly BlockSummary[], { variety_id, block_id }: Subject): BlockSummary[] {
  const variety = varieties.find(({ id }) => id === variety_id)?.name;
  return blocks.filter((block) => block.id === block_id || (variety !== undefined && block.variety === variety));
}

/** Return the id of the variety that a block is planted with; null for anything else. */
export function plantedWith({ varieties }: Farm, blocks: readonly BlockSummary[], { block_id }: Subject): string | null {
  const planted = blocks.find(({ id }) => id === block_id)?.variety;
  return varieties.find(({ name }) => name === planted)?.id ?? null;
}
