/** What was typed into a form of pay and is not saved yet. It lasts as long as the page, for who typed it, and is never put on the device. */

import type { PersonHours } from "./pay-contracts";

export interface Draft<Typed> {
  /** Return what was typed, null where nothing waits. */
  read(): Typed | null;
  /** Keep it; null forgets it. */
  keep(typed: Typed | null): void;
}
/** Whose form of which farm it is. */
export interface DraftPlace {
  login: string;
  farm: string;
  form: string;
}
const waiting = new Map<string, unknown>();

/** Return the draft of a form. */
export function draftOf<Typed>({ login, farm, form }: DraftPlace): Draft<Typed> {
  const key = JSON.stringify([login, farm, form]);
  return {
    read: () => (waiting.get(key) as Typed | undefined) ?? null,
    keep(typed) {
      if (typed === null) waiting.delete(key);
      else waiting.set(key, typed);
    },
  };
}

/** Tell whether anything would be lost with the page. */
export function isAnythingWaiting(): boolean {
  return waiting.size > 0;
}

export interface CellText {
  person: string;
  crew: string;
  day: string;
  hours: string;
  rest: string;
  /** The entry that it was typed over, null for none. */
  over: string | null;
}

/** Return what was typed in a cell, or null: nothing, or somebody else saved there meanwhile. */
export function typedBefore(typed: readonly CellText[], { crew, person, day }: { crew: string; person: string; day: string }, kept: PersonHours | undefined): CellText | null {
  const found = typed.find((one) => one.crew === crew && one.person === person && one.day === day);
  return found !== undefined && found.over === (kept?.id ?? null) ? found : null;
}
