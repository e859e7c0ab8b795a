/** Who checks with this device: whoever is known to be here, until somebody else is picked. */

import type { Person, Who } from "./contracts";

/** Who was picked, and who was here then: both ids of people, null for nobody known. */
export interface Picked {
  id: string | null;
  by: string | null;
}

/** Return the people who may check. */
export function auditorsOf(people: readonly Person[]): Person[] {
  return people.filter(({ role }) => role === "auditor" || role === "manager");
}

/**
 * Return the id of the person who is here: the holder of the tablet, or the one auditor who goes by the account's name.
 *
 * Null for nobody of those who may check; undefined where it cannot be told: names are kept on no device.
 */
export function auditorHere(who: Who, people: readonly Person[]): string | null | undefined {
  const auditors = auditorsOf(people);
  if (who.state === "device") {
    const holder = who.device?.holder?.id ?? null;
    return people.length === 0 || auditors.some(({ id }) => id === holder) ? holder : null;
  }
  if (people.length === 0) return undefined;
  const plain = (name: string): string => name.normalize("NFC").trim().toLowerCase();
  const named = auditors.filter(({ name }) => plain(name) === plain(who.name));
  return named.length === 1 ? (named[0]?.id ?? null) : null;
}

/** Return who checks now: what was picked holds as long as the same person is here. */
export function auditorNow(here: string | null | undefined, picked: Picked): Picked {
  return here === undefined || here === picked.by ? picked : { id: here, by: here };
}
