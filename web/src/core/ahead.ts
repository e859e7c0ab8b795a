/** What of the farm a tablet takes along, and what of it is never kept on a device: names of people. */

import { ownAndOthers } from "./block-order";
import type { BlockState, Farm, Overview, Who } from "./contracts";

/** A farm of so many blocks is taken along whole. */
export const WHOLE_FARM = 64;
/** Blocks in one request for packs. */
export const PACKS_AT_ONCE = 32;
/** Most blocks of a larger farm. */
const MOST = 100;

export interface Known {
  /** Blocks that this device has records of. */
  own: readonly string[];
  /** Blocks that somebody asked to be taken along. */
  along: readonly string[];
  /** The crew that prunes with this device; null for none, or for any. */
  crewId?: string | null;
}

/** Return the blocks to keep on the device, most needed first. */
export function blocksToKeep({ blocks }: Pick<Overview, "blocks">, { own, along, crewId = null }: Known): string[] {
  const there = new Set(blocks.map(({ id }) => id));
  const begun = blocks.filter(({ pruned, trees }) => pruned > 0 && pruned < trees).map(({ id }) => id);
  const next = crewId === null ? [] : ownAndOthers(blocks, crewId).own.map(({ id }) => id);
  const all = blocks.length <= WHOLE_FARM ? [...there] : [];
  return [...new Set([...along, ...own, ...next, ...begun, ...all])].filter((id) => there.has(id)).slice(0, MOST);
}

/** Return the calendar day of a moment in a time zone: 2026-01-12. */
export function dayIn(timeZone: string, nowMs: number): string {
  const parts = new Intl.DateTimeFormat("en", { timeZone, year: "numeric", month: "2-digit", day: "2-digit" }).formatToParts(nowMs);
  const part = (type: string): string => parts.find((one) => one.type === type)?.value ?? "";
  return `${part("year")}-${part("month")}-${part("day")}`;
}

/** Return the farm without the people's names; the day is told anew when it is read. */
export function farmToKeep(farm: Farm): Farm {
  return { ...farm, people: [] };
}

/** Return who asks without any name of a person. */
export function whoToKeep(who: Who): Who {
  const { device } = who;
  const holder = device === null || device.holder === null ? null : { id: device.holder.id, name: "" };
  return { ...who, name: "", login: null, device: device === null ? null : { ...device, holder } };
}

/** Return the state without the names of auditors and without their notes, which may name people. */
export function stateToKeep(state: BlockState): BlockState {
  return {
    ...state,
    checks: state.checks.map(([id, row, position, verdict, day, , , ...rest]) => [id, row, position, verdict, day, null, "", ...rest]),
  };
}
