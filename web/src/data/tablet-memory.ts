/** How this tablet is held, looked at and spoken to, how its crew walks, and when the service was heard: small things that outlive a restart, no name among them. */

import { language as spoken } from "../core/language";
import type { Shelf } from "./device";

export type Hand = "right" | "left";
export type LightChoice = "auto" | "day" | "night";
export interface TabletMemory {
  hand(): Hand;
  setHand(hand: Hand): void;
  light(): LightChoice;
  setLight(light: LightChoice): void;
  /** ISO 639-1 code of the language that was chosen, or null. */
  language(): string | null;
  setLanguage(code: string): void;
  /** The block that was open last, or null after another one was asked for. */
  lastBlock(): string | null;
  setLastBlock(block: string | null): void;
  /** When the service answered last; null before it ever did. */
  lastHeard(): Date | null;
  setLastHeard(moment: Date): void;
  /** How a block is walked, as text. */
  walk(block: string): string | null;
  setWalk(block: string, text: string): void;
  /** ISO 639-1 code of the language of the crew's briefs; until one is picked, that of the screens. */
  briefLanguage(): string;
  setBriefLanguage(code: string): void;
  /** What of a brief was read here, as text. */
  briefRead(brief: string): string | null;
  setBriefRead(brief: string, text: string): void;
}

const HAND = "orchardmap.hand";
const LIGHT = "orchardmap.light";
const LANGUAGE = "orchardmap.language";
const LAST_BLOCK = "orchardmap.block";
const LAST_HEARD = "orchardmap.heard";
const WALK = "orchardmap.walk.";
const BRIEF_LANGUAGE = "orchardmap.brief-language";
const BRIEF_READ = "orchardmap.brief-read.";

/** Return the memory over a shelf. Where storage is refused it lasts until the page is left. */
export function tabletMemoryOf(shelf: Shelf): TabletMemory {
  const here = new Map<string, string | null>();
  const read = (key: string): string | null => {
    if (here.has(key)) return here.get(key) ?? null;
    try {
      return shelf.getItem(key);
    } catch {
      return null;
    }
  };
  const write = (key: string, value: string | null): void => {
    try {
      if (value === null) shelf.removeItem(key);
      else shelf.setItem(key, value);
      here.delete(key);
    } catch {
      here.set(key, value); // full or refused
    }
  };
  return {
    hand: () => (read(HAND) === "left" ? "left" : "right"),
    setHand: (hand) => write(HAND, hand),
    light() {
      const kept = read(LIGHT);
      return kept === "day" || kept === "night" ? kept : "auto";
    },
    setLight: (light) => write(LIGHT, light),
    language: () => read(LANGUAGE),
    setLanguage: (code) => write(LANGUAGE, code),
    lastBlock: () => read(LAST_BLOCK),
    setLastBlock: (block) => write(LAST_BLOCK, block),
    lastHeard() {
      const moment = new Date(read(LAST_HEARD) ?? "");
      return Number.isNaN(moment.getTime()) ? null : moment;
    },
    setLastHeard: (moment) => write(LAST_HEARD, moment.toISOString()),
    walk: (block) => read(WALK + block),
    setWalk: (block, text) => write(WALK + block, text),
    briefLanguage: () => read(BRIEF_LANGUAGE) ?? spoken(),
    setBriefLanguage: (code) => write(BRIEF_LANGUAGE, code),
    briefRead: (brief) => read(BRIEF_READ + brief),
    setBriefRead: (brief, text) => write(BRIEF_READ + brief, text),
  };
}
