/** The sentences about what waits on this device, what became of it, and what this browser cannot keep. */

import { minutes, stretch } from "./counted";
import type { Hindrance } from "./course";
import { t, tn } from "./language";
import { momentText } from "./numbers";
import type { Entry, EntryState, RecordKind, Tally } from "./outbox";

const one: Record<RecordKind, string> = {
  marks: t("Mark"),
  withdrawals: t("Withdrawal"),
  checks: t("Check"),
  crew_days: t("Crew-day"),
  tree_counts: t("Tree count"),
};

export const QUEUE = {
  allSent: t("All sent."),
  waiting: (n: number) => tn("{n} record waits on this tablet, safe.", "{n} records wait on this tablet, safe.", n),
  photos: (n: number) => tn("1 photo waits on this tablet, safe.", "{n} photos wait on this tablet, safe.", n),
  photosRefused: (n: number) => tn("1 photo refused by the service.", "{n} photos refused by the service.", n),
  dropPhotos: t("Delete the refused photos"),
  photoOf: (check: string) => t("Photo of: {check}", { check }),
  photoOfGone: t("Photo of a check that is gone"),
  sending: t("Sending…"),
  heard: (moment: string) => t("Last heard from the service {moment}.", { moment }),
  heardNever: t("Not heard from the service yet."),
  oldest: (moment: string) => t("The oldest waits since {moment}.", { moment }),
  old: (moment: string) =>
    t("Records wait on this tablet since {moment}. Take it to where there is a signal, or hand the file to the manager.", { moment }),
  notSafe: (n: number) =>
    tn("{n} record is NOT SAFE: it is only on this open page.", "{n} records are NOT SAFE: they are only on this open page.", n),
  keepOpen: t("Keep this page open until they are sent: they are lost when it is closed."),
  setAside: (n: number) => tn("{n} record set aside: stored, not counted.", "{n} records set aside: stored, not counted.", n),
  refused: (n: number) =>
    tn("{n} record refused by the service; kept on this tablet.", "{n} records refused by the service; kept on this tablet.", n),
  notTaken: (n: number) => tn("{n} record refused: not sent, kept here.", "{n} records refused: not sent, kept here.", n),
  seeWhy: t("See why"),
  see: t("What waits"),
  title: t("What is on this tablet"),
  close: t("Close"),
  tryNow: t("Send now"),
  save: t("Save as a file"),
  sendAgain: t("Send the refused ones again"),
  saveNote: t(
    "The file holds every record that the service has not counted. Hand it to the manager when the tablet cannot send: it is taken in at the service.",
  ),
  fileName: (day: string) => t("orchardmap-records-{day}.json", { day }),
  nothing: t("Nothing waits here: every record was acknowledged by the service."),
  kept: t("Acknowledged records stay on this tablet for at least 14 days, in case the service is brought back from an older copy."),
  more: (n: number) => tn("and {n} more", "and {n} more", n),
  understood: t("Understood"),
  newer: t("A newer version of these pages is here."),
  takeNow: t("Take it now"),
  otherVersion: t("These pages were brought up to date in another tab. Load this one again; what waits is safe."),
  loadAgain: t("Load again"),
  clock: (off: string, ahead: boolean) =>
    ahead
      ? t("This tablet's clock is {off} ahead. Set it right; the day worked is corrected meanwhile.", { off })
      : t("This tablet's clock is {off} behind. Set it right; the day worked is corrected meanwhile.", { off }),
  packs: (here: number, all: number, moment: string) =>
    here === all
      ? t("On this device: all {all} blocks, as of {moment}.", { all, moment })
      : t("On this device: {here} of {all} blocks, as of {moment}.", { here, all, moment }),
  packNone: t("Not on this device yet: opens only with a connection."),
  earlierSeason: (moment: string) =>
    t("No connection: last read in an earlier season, {moment}. Shown with this tablet's own records only.", { moment }),
  /** In place of when the service was heard: it is what counts for whoever reads the rows. */
  shownAsOf: (moment: string) => t("No connection: shown as of {moment}.", { moment }),
  fromHere: (moment: string) => t("No connection: shown as of {moment}, with this tablet's own records.", { moment }),
  /** The service was there a moment ago, or nobody knows yet: what is kept here is shown meanwhile. */
  slow: (moment: string) => t("The service is slow: shown as of {moment} meanwhile, with this tablet's own records.", { moment }),
} as const;

/** What the list of a device says of its records, state by state; of what was sent it says nothing. */
export const PARTS: Record<Exclude<EntryState, "sent">, { title: string; todo: string }> = {
  refused: {
    title: t("Refused by the service"),
    todo: t("The service cannot store these as they are. Save them as a file, tell the manager, and mark again what is right. After an update of the service or of these pages, send them again."),
  },
  set_aside: {
    title: t("Set aside by the service"),
    todo: t("The manager sees these too and can let them count. Mark again what is right, or tell the manager."),
  },
  waiting: { title: t("Waiting to be sent"), todo: t("They go by themselves as soon as the service answers.") },
};

/** What the list says of photos. */
export const REFUSED_PHOTOS = {
  title: t("Photos refused by the service"),
  todo: t("Their checks count. Tell the manager, take new ones at the tree, and delete these."),
};

export const HINDRANCE: Record<Hindrance, string> = {
  no_answer: t("No answer from the farm's service: they go by themselves when it is back."),
  trouble: t("The service is busy or in trouble: they go by themselves later."),
  sign_in: t("The service wants to know again who this is. Sign in, or pair this tablet again; nothing is lost."),
  revoked: t("This tablet's pairing has ended. Pair it again; what waits stays here, safe."),
  not_allowed: t("The service does not let this tablet send for that farm. Tell the manager; nothing is lost."),
  unconfirmed:
    t("Taking back what others marked needs your password once more. Touch “Send now”, or sign in again; nothing is lost."),
  newer: t("These pages are newer than the service. They wait until it is brought up to date."),
};

/** What this browser cannot do for a day without a signal, and why. */
export const SHORTCOMING = {
  plainHttp:
    t("This address is plain http: the pages cannot open without a connection here, and the browser may empty its storage when the tablet runs out of space. Do not close the page without a signal. Open the https address of the farm."),
  noWorker: t("This browser does not keep pages for opening without a connection. Use a current Chrome, Edge, Firefox or Safari, not a private window."),
  noStorage: t("This browser refuses to keep anything. What cannot be sent at once is lost when the page is closed. Leave the private window, or allow storage."),
  full: t("This tablet's storage is full. Free some space: new records are only on this open page until they are sent."),
  heldOpen:
    t("An older tab of these pages keeps this tablet's storage from being brought up to date. Close the other tabs; what waits in it is safe."),
  mayBeEmptied: t("This browser may empty its storage when the tablet runs out of space. Put the page on the home screen; that protects it."),
} as const;
export type Shortcoming = keyof typeof SHORTCOMING;

/**
 * Say in one line how the outbox stands, and how many `photos` wait or were refused; `unsafe` of its records are in this page's memory only, which is
 * said elsewhere.
 *
 * "All sent" is said of nothing that waits, was refused, or was set aside and not read yet.
 */
export function queueWords({ waiting, setAside, refused, refusedSeen }: Tally, busy: boolean, unsafe: number, photos = 0, photosRefused = 0): string {
  const [safe, notTaken] = [waiting - unsafe, refused + refusedSeen];
  const parts = [
    safe > 0 ? QUEUE.waiting(safe) : "",
    photos > 0 ? QUEUE.photos(photos) : "",
    photosRefused > 0 ? QUEUE.photosRefused(photosRefused) : "",
    safe > 0 && busy ? QUEUE.sending : "",
    setAside > 0 ? QUEUE.setAside(setAside) : "",
    notTaken > 0 ? QUEUE.notTaken(notTaken) : "",
  ].filter((part) => part !== "");
  return parts.length === 0 && waiting === 0 && unsafe === 0 ? QUEUE.allSent : parts.join(" ");
}

/** Say what a record is about, and when it was made. */
export function entryWords({ kind, subject, record, made_at }: Entry, blockCode: string, timeZone: string): string {
  const [what, moment] = [one[kind], momentText(made_at, timeZone)];
  if (kind === "crew_days") return `${what}, ${moment}`;
  const { row, position } = subject;
  const positions =
    position !== undefined ? stretch(position, position) : "first" in record ? stretch(record.first, record.last) : "";
  const where = [t("{block} row {row}", { block: blockCode, row: row ?? "" }), positions].filter((part) => part !== "").join(", ");
  return `${what}, ${where}, ${moment}`;
}

/** Say how far a clock is off: 6 minutes, 3 hours, 2 days. */
export function offWords(seconds: number): string {
  const s = Math.abs(seconds);
  const whole = (unit_s: number): number => Math.max(1, Math.round(s / unit_s));
  if (s < 5_400) return minutes(whole(60));
  if (s < 129_600) return tn("{n} hour", "{n} hours", whole(3_600));
  return tn("{n} day", "{n} days", whole(86_400));
}
