/**
 * From which end a lot is walked: two tablets on one lot that hear nothing of each other begin at its two ends and meet in the middle.
 *
 * Who walks alone walks the same way whichever end it begins at.
 */

import type { CheckLine } from "./contracts";
import type { LotPack } from "./quality-contracts";
import { treeKey } from "./sample-trees";
import { checksOfLot } from "./walk-standing";

/**
 * Tell whether a walk that is new on this device begins at the far end: away from where somebody is at work already, as far as
 * that is known here; else as this device's id falls, by its last letter. So two tablets begin apart in one case of two at least, and one
 * who sees the other at the same end turns round.
 */
export function beginsAtFarEnd(lot: LotPack, checks: readonly CheckLine[], deviceId: string, isSecond = false): boolean {
  const found = checksOfLot(checks, lot.id, isSecond);
  const isDone = ([row, position]: readonly [number, number]): boolean => found.has(treeKey({ row, position }));
  const half = Math.floor(lot.walk.length / 2);
  const near = lot.walk.slice(0, half).filter(isDone).length;
  const far = lot.walk.slice(lot.walk.length - half).filter(isDone).length;
  return near === far ? deviceId.charCodeAt(deviceId.length - 1) % 2 === 1 : near > far;
}

/** Return the lot as it is walked from one of its ends. */
export function fromEnd(lot: LotPack, isFar: boolean): LotPack {
  return isFar ? { ...lot, walk: [...lot.walk].reverse() } : lot;
}
