/**
 * What this device remembers between visits: ids, days and how far its clock is off, in local storage.
 *
 * Never a name, a position or pay of anybody (reliability rule 5).
 */

const KEYS = {
  farm: "orchardmap.farm",
  crew: "orchardmap.crew",
  auditor: "orchardmap.auditor",
  /** Who was here when the auditor was picked. */
  auditorBy: "orchardmap.auditor-by",
  device: "orchardmap.device",
  /** The pairing of this tablet; it stays when the pairing ends, so that the page asks for a new one and not for a password. */
  tablet: "orchardmap.tablet",
  /** The pairing under which the tablet was given back and nobody took it since, and the one of which the service has heard so. */
  givenBack: "orchardmap.given-back",
  givenBackHeard: "orchardmap.given-back-heard",
  /** How far this device's clock was off when that was heard last, as `skewText` writes it. */
  skew: "orchardmap.skew",
} as const;
const CAUTIONED = "orchardmap.cautioned.";
const PLANNED = "orchardmap.plan.";
export type Kept = keyof typeof KEYS;

/** The part of `Storage` that is used. */
export type Shelf = Pick<Storage, "getItem" | "setItem" | "removeItem">;

export interface Device {
  get(what: Kept): string | null;
  set(what: Kept, value: string | null): void;
  /** Tell whether the cautions of this block were read on this day. */
  hasReadCautions(block: string, day: string): boolean;
  readCautions(block: string, day: string): void;
  /** What of a farm's plan was changed here and not saved, as text; null for nothing. */
  plan(farm: string): string | null;
  keepPlan(farm: string, changed: string | null): void;
}

/**
 * Return the device's memory. Where storage is refused (private windows), it lasts until the page is left.
 *
 * `ofWindow` keeps the farm of this window alone: another one may be at another farm, and a new one begins at the last that was chosen.
 */
export function deviceOf(shelf: Shelf, ofWindow: Shelf | null = null): Device {
  const here = new Map<string, string>();
  const read = (key: string): string | null => {
    try {
      return shelf.getItem(key) ?? here.get(key) ?? null;
    } catch {
      return here.get(key) ?? null;
    }
  };
  const write = (key: string, value: string | null): void => {
    if (value === null) here.delete(key);
    else here.set(key, value);
    try {
      if (value === null) shelf.removeItem(key);
      else shelf.setItem(key, value);
    } catch {
      // full or refused: the copy in memory serves until the page is left
    }
  };
  const own = ofWindow === null ? null : deviceOf(ofWindow);
  return {
    get: (what) => (what === "farm" ? own?.get(what) : null) ?? read(KEYS[what]),
    set(what, value) {
      if (what === "farm") own?.set(what, value);
      write(KEYS[what], value);
    },
    hasReadCautions: (block, day) => read(CAUTIONED + block) === day,
    readCautions: (block, day) => write(CAUTIONED + block, day),
    plan: (farm) => read(PLANNED + farm),
    keepPlan: (farm, changed) => write(PLANNED + farm, changed),
  };
}
