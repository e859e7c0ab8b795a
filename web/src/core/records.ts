/** New marks, withdrawals and checks, as values: ids and moments come in as arguments. */

import type { BriefVersion } from "./brief-contracts";
import type { Check, Finding, Mark, Method, NotJudged, TreeVerdict, UnjudgedCheck, Withdrawal } from "./contracts";
import type { Stretch } from "./coverage";

/** Made once a record: an id and the device's moment. */
export interface Stamp {
  id: string;
  at: string;
}
/** The ground that a block's shape was shown on, where the service tells it (`BlockShape.ground`). */
export type Ground = string | undefined;

/** Return what a record says of the ground that it is made on. */
export function onGround(ground: Ground): { ground?: string } {
  return ground === undefined ? {} : { ground };
}
/** Tell whether a record was made on a ground, as far as both say theirs. */
export function isOnGround(record: object, ground: Ground): boolean {
  return ground === undefined || !("ground" in record) || record.ground === ground;
}
export interface MarkContext {
  seasonId: string;
  blockId: string;
  crewId: string;
  day: string;
  method: Method;
  deviceId: string;
  /** Who holds the tablet, where that is known. */
  recorderId: string | null;
  ground?: Ground;
}

/** Return the mark that says the crew of `context` pruned `stretch` of the row, or went over it again for the return `returnId`. */
export function newMark(context: MarkContext, row: number, stretch: Stretch, stamp: Stamp, returnId?: string): Mark {
  return {
    id: stamp.id,
    season_id: context.seasonId,
    block_id: context.blockId,
    row,
    first: stretch.first,
    last: stretch.last,
    crew_id: context.crewId,
    day: context.day,
    method: context.method,
    ...(context.recorderId === null ? {} : { recorder_id: context.recorderId }),
    device_id: context.deviceId,
    device_at: stamp.at,
    ...(returnId === undefined ? {} : { return_id: returnId }),
    ...onGround(context.ground),
  };
}

/** Return the withdrawal that takes a mark back. */
export function newWithdrawal(markId: string, by: Pick<MarkContext, "deviceId" | "recorderId">, stamp: Stamp): Withdrawal {
  const recorder = by.recorderId === null ? {} : { recorder_id: by.recorderId };
  return { id: stamp.id, mark_id: markId, ...recorder, device_id: by.deviceId, device_at: stamp.at };
}

export interface CheckContext {
  seasonId: string;
  blockId: string;
  brief: Pick<BriefVersion, "brief_id" | "version"> | null;
  auditorId: string | null;
  day: string;
  deviceId: string;
  ground?: Ground;
}
export interface TreeFinding {
  row: number;
  position: number;
  verdict: TreeVerdict;
  drawn: boolean;
  note: string;
  /** The lot that the tree was drawn for. */
  lotId?: string;
  findings?: Finding[];
  isSecond?: boolean;
}

/** What any check says: of which tree, when and by whom, by which brief. */
function checkOf(context: CheckContext, tree: Pick<TreeFinding, "row" | "position" | "drawn" | "note">, stamp: Stamp): Omit<Check, "verdict"> {
  const note = tree.note.trim();
  return {
    id: stamp.id,
    season_id: context.seasonId,
    block_id: context.blockId,
    row: tree.row,
    position: tree.position,
    ...(context.auditorId === null ? {} : { auditor_id: context.auditorId }),
    day: context.day,
    drawn: tree.drawn,
    ...(note === "" ? {} : { note }),
    ...(context.brief === null ? {} : { brief_id: context.brief.brief_id, brief_version: context.brief.version }),
    device_id: context.deviceId,
    device_at: stamp.at,
    ...onGround(context.ground),
  };
}

/** Return the check of one tree. */
export function newCheck(context: CheckContext, tree: TreeFinding, stamp: Stamp): Check {
  return {
    ...checkOf(context, tree, stamp),
    verdict: tree.verdict,
    ...(tree.lotId === undefined ? {} : { lot_id: tree.lotId }),
    ...(tree.findings === undefined ? {} : { findings: tree.findings }),
    ...(tree.isSecond === true ? { second: true as const } : {}),
  };
}

export interface UnjudgedTree {
  row: number;
  position: number;
  reason: NotJudged;
  drawn: boolean;
  note: string;
  lotId: string;
}

/** Return the record of a lot's tree that could not be judged. */
export function newUnjudged(context: CheckContext, tree: UnjudgedTree, stamp: Stamp): UnjudgedCheck {
  return { ...checkOf(context, tree, stamp), not_judged: tree.reason, lot_id: tree.lotId };
}
