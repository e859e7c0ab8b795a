/** Where the tablet is, as the pad of row numbers asks it: fetched with the pad, for a page of rows needs none of it. */

import type { BlockShape } from "../../core/contracts";
import { nearestRows, orderOfWork } from "../../core/nearest-row";
import { whereAmI } from "../../data/position";
import type { RowList } from "./row-list";
import type { WhereGiven } from "./where-suggestion";

/** Return how a position is found, and which rows of a block it may mean. */
export function whereGiven(shape: BlockShape, list: Pick<RowList, "order" | "next">): WhereGiven {
  return {
    where: () => whereAmI(window.isSecureContext ? navigator.geolocation : undefined),
    guesses: ({ fix }) => nearestRows(shape, fix, orderOfWork(list.order(), list.next())),
  };
}
