/** What quality asks of a manager today, in short words. */

import { t, tn } from "./language";

export const QUALITY_NEEDS = {
  sentBack: (n: number) =>
    tn(
      "{n} lot was sent back and trees of it are in no return. Open it and make the return.",
      "{n} lots were sent back and trees of them are in no return. Open each and make its return.",
      n,
    ),
  /** Blocks whose checks were made without a lot. */
  blockBack: (n: number) =>
    tn(
      "{n} block to send back by its checks. Look at them, then go over the trees again with the crew.",
      "{n} blocks to send back by their checks. Look at them, then go over the trees again with the crew.",
      n,
    ),
  /** Of a day that is over: what was done about them since is not told. */
  blockWasBack: (n: number) => tn("{n} block was to be sent back by then.", "{n} blocks were to be sent back by then.", n),
  late: (n: number) =>
    tn("{n} return is late. Ask the crew when it goes.", "{n} returns are late. Ask the crews when they go.", n),
  redone: (n: number) =>
    tn("{n} return was gone over again. Draw its recheck.", "{n} returns were gone over again. Draw their rechecks.", n),
  weak: (n: number) => tn("{n} weak area has no return yet.", "{n} weak areas have no return yet.", n),
  /** Work is there, and not one lot of the season was drawn. */
  unlooked: (n: number) =>
    tn("{n} pruned tree is in no lot: nobody checks the work of this season yet.", "{n} pruned trees are in no lot: nobody checks the work of this season yet.", n),
  newLot: t("Draw a lot"),
  areasOf: (block: string, n: number) => tn("{block}: {n} area", "{block}: {n} areas", n, { block }),
  returnOf: (number: number, block: string) => t("Return {number}, {block}", { number, block }),
  lotOf: (number: number, block: string) => t("Lot {number}, {block}", { number, block }),
} as const;
