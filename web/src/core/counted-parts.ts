/** What was counted in the blocks that a brief covers, line by line, and the limbs that a bud target can take from it. */

import type { CountTold, FarmCounts } from "./contracts";
import type { CountEstimate } from "./count-estimate";
import { COUNTED, overBlocksWords, soFarWords, targetWords } from "./tally-wording";

export interface CountedPart {
  title: string;
  lines: string[];
  /** Limbs a tree, to one decimal; null where nobody counted limbs. */
  limbs: number | null;
}

/** Return a part for each variety that lies in these blocks with more than one counted, then one for each block. */
export function countedParts({ blocks, varieties }: FarmCounts, blockIds: readonly string[]): CountedPart[] {
  const covered = new Set(blockIds);
  const of = (variety: string) => blocks.filter(({ variety_id }) => variety_id === variety);
  const whole = varieties.filter(({ id }) => of(id).length > 1 && of(id).every((block) => covered.has(block.id)));
  return [
    ...whole.map(({ id, name, told }) => ({
      title: COUNTED.over(name, of(id).length),
      lines: told.map(({ what, mean, trees }) => overBlocksWords(what, mean, trees)),
      limbs: limbsOf(told),
    })),
    ...blocks
      .filter(({ id }) => covered.has(id))
      .map(({ code, trees, target, told }) => ({
        title: COUNTED.block(code),
        lines: told.map((one) =>
          [
            soFarWords(one.what, estimateOf(one), trees),
            targetWords(one.what, one.mean, target),
            one.chosen === 0 ? "" : COUNTED.picked(one.chosen),
          ].filter((part) => part !== "").join(" "),
        ),
        limbs: limbsOf(told),
      })),
  ];
}

function limbsOf(told: readonly { what: string; mean: number }[]): number | null {
  const found = told.find(({ what }) => what === "limbs");
  return found === undefined ? null : Math.round(found.mean * 10) / 10;
}

function estimateOf({ trees, mean, low, high, cv, trees_needed, is_enough }: CountTold): CountEstimate {
  return { trees, mean, low, high, cv, treesNeeded: trees_needed, isEnough: is_enough };
}
