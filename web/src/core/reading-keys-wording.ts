/** The sentences of reading keys, and which of a key's facts is told how. */

import { t } from "./language";
import { dayText } from "./numbers";

export const KEYS = {
  title: t("Reading keys"),
  lead: t("A key lets a program such as QGIS read this farm as it stands at any time, by OGC API - Features. It changes nothing, opens nothing else, and is told nobody's name."),
  stays: t("It goes on after whoever made it has left, until it is ended here."),
  none: t("No reading key yet."),
  another: t("Make a reading key"),
  name: t("What the key is for"),
  nameHint: t("The program and where it runs: QGIS in the office."),
  noName: t("Say what the key is for."),
  sees: t("What it sees"),
  sight: {
    all: t("All that an adviser reads"),
    work: t("The work, without checks and weak areas"),
  },
  seen: {
    all: t("sees all that an adviser reads"),
    work: t("sees the work, without checks and weak areas"),
  },
  endsOn: t("Good up to"),
  noDay: t("Choose its last day, in five years at the latest."),
  make: t("Make the key"),
  keyFor: (name: string) => t("Key for {name}", { name }),
  once: t("It is shown only now. Whoever has it reads this farm: keep it as you keep a password."),
  address: t("Address of the farm for programs"),
  addressHint: t("The key opens what is at this address and nothing else."),
  copyKey: t("Copy the key"),
  copyAddress: t("Copy the address"),
  byPassword: t("Where a program asks for user and password (Basic): any user, and the key as the password."),
  byHeader: t("Where it asks for a header: the name is Authorization, the value is Bearer, a blank, and the key."),
  ownMachine: t("By this address only programs on the machine of the service itself reach it. For others open this page by the address that they reach it by, and make the key there."),
  goodUpTo: (day: string) => t("good up to {day}", { day }),
  overSince: (day: string) => t("was good up to {day}", { day }),
  endedOn: (day: string) => t("ended {day}", { day }),
  madeBy: (name: string, day: string) => t("made by {name}, {day}", { name, day }),
  madeByShell: (day: string) => t("made by the shell, {day}", { day }),
  used: (moment: string) => t("last used {moment}", { moment }),
  neverUsed: t("not used yet"),
  end: t("End the key"),
  endSure: (name: string) => t("From its next request on, whatever reads by the key for {name} reads nothing.", { name }),
  endYes: (name: string) => t("Yes, end the key for {name}", { name }),
  ended: (name: string) => t("The key for {name} has ended.", { name }),
} as const;

export type KeySight = keyof typeof KEYS.sight;

/** A key as the list tells of it; of the key itself nothing is kept. */
export interface ReadingKey {
  id: string;
  name: string;
  sees: KeySight;
  /** Null where the shell made it. */
  made_by: string | null;
  made_at: string;
  ends_on: string;
  /** To an hour. */
  last_used_at: string | null;
  ended_at: string | null;
  is_good: boolean;
}

/** Return what is told of a key, in a line; `dayOf` tells the farm's own day of a moment, `momentOf` its day and hour in words. */
export function keyFacts(key: ReadingKey, dayOf: (iso: string) => string, momentOf: (iso: string) => string): string {
  const made = dayText(dayOf(key.made_at));
  return [
    key.ended_at !== null ? KEYS.endedOn(dayText(dayOf(key.ended_at))) : (key.is_good ? KEYS.goodUpTo : KEYS.overSince)(dayText(key.ends_on)),
    KEYS.seen[key.sees],
    key.made_by === null ? KEYS.madeByShell(made) : KEYS.madeBy(key.made_by, made),
    key.last_used_at === null ? KEYS.neverUsed : KEYS.used(momentOf(key.last_used_at)),
  ].join("; ");
}

/** Return keys as they are listed: good ones first, else as they came. */
export function goodFirst(keys: readonly ReadingKey[]): ReadingKey[] {
  return [...keys.filter((key) => key.is_good), ...keys.filter((key) => !key.is_good)];
}
