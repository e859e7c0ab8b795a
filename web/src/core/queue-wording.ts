/** The sentences about what waits on this device, what became of it, and what this browser cannot keep. */

import type { Hindrance } from "./course";
import { count, momentText } from "./numbers";
import type { Entry, EntryState, RecordKind, Tally } from "./outbox";

const records = (n: number): string => (n === 1 ? "1 record" : `${count(n)} records`);
const wait = (n: number): string => (n === 1 ? "waits" : "wait");
const one: Record<RecordKind, string> = { marks: "Mark", withdrawals: "Withdrawal", checks: "Check", crew_days: "Crew-day", tree_counts: "Tree count" };

export const QUEUE = {
  allSent: "All sent.",
  waiting: (n: number) => `${records(n)} ${wait(n)} on this tablet, safe.`,
  sending: "Sending…",
  heard: (moment: string) => `Last heard from the service ${moment}.`,
  heardNever: "Not heard from the service yet.",
  oldest: (moment: string) => `The oldest waits since ${moment}.`,
  old: (moment: string) =>
    `Records wait on this tablet since ${moment}. Take it to where there is a signal, or hand the file to the manager.`,
  notSafe: (n: number) =>
    n === 1 ? "1 record is NOT SAFE: it is only on this open page." : `${count(n)} records are NOT SAFE: they are only on this open page.`,
  keepOpen: "Keep this page open until they are sent: they are lost when it is closed.",
  setAside: (n: number) => `${records(n)} set aside: stored, not counted.`,
  refused: (n: number) => `${records(n)} refused by the service; kept on this tablet.`,
  notTaken: (n: number) => `${records(n)} refused: not sent, kept here.`,
  seeWhy: "See why",
  see: "What waits",
  title: "What is on this tablet",
  close: "Close",
  tryNow: "Send now",
  save: "Save as a file",
  sendAgain: "Send the refused ones again",
  saveNote:
    "The file holds every record that the service has not counted. Hand it to the manager when the tablet cannot send: it is taken in at the service.",
  fileName: (day: string) => `orchardmap-records-${day}.json`,
  nothing: "Nothing waits here: every record was acknowledged by the service.",
  kept: "Acknowledged records stay on this tablet for at least 14 days, in case the service is brought back from an older copy.",
  more: (n: number) => `and ${count(n)} more`,
  understood: "Understood",
  newer: "A newer version of these pages is here.",
  takeNow: "Take it now",
  otherVersion: "These pages were brought up to date in another tab. Load this one again; what waits is safe.",
  loadAgain: "Load again",
  clock: (off: string, ahead: boolean) =>
    `This tablet's clock is ${off} ${ahead ? "ahead" : "behind"}. Set it right; the day worked is corrected meanwhile.`,
  packs: (here: number, all: number, moment: string) =>
    `On this device: ${here === all ? `all ${all} blocks` : `${here} of ${all} blocks`}, as of ${moment}.`,
  packNone: "Not on this device yet: opens only with a connection.",
  earlierSeason: (moment: string) =>
    `No connection: last read in an earlier season, ${moment}. Shown with this tablet's own records only.`,
  /** In place of when the service was heard: it is what counts for whoever reads the rows. */
  shownAsOf: (moment: string) => `No connection: shown as of ${moment}.`,
  fromHere: (moment: string) => `No connection: shown as of ${moment}, with this tablet's own records.`,
} as const;

/** What the list of a device says of its records, state by state; of what was sent it says nothing. */
export const PARTS: Record<Exclude<EntryState, "sent">, { title: string; todo: string }> = {
  refused: {
    title: "Refused by the service",
    todo: "The service cannot store these as they are. Save them as a file, tell the manager, and mark again what is right. After an update of the service or of these pages, send them again.",
  },
  set_aside: {
    title: "Set aside by the service",
    todo: "The manager sees these too and can let them count. Mark again what is right, or tell the manager.",
  },
  waiting: { title: "Waiting to be sent", todo: "They go by themselves as soon as the service answers." },
};

export const HINDRANCE: Record<Hindrance, string> = {
  no_answer: "No answer from the farm's service: they go by themselves when it is back.",
  trouble: "The service is busy or in trouble: they go by themselves later.",
  sign_in: "The service wants to know again who this is. Sign in, or pair this tablet again; nothing is lost.",
  revoked: "This tablet's pairing has ended. Pair it again; what waits stays here, safe.",
  not_allowed: "The service does not let this tablet send for that farm. Tell the manager; nothing is lost.",
  unconfirmed:
    "Taking back what others marked needs your password once more. Touch “Send now”, or sign in again; nothing is lost.",
  newer: "These pages are newer than the service. They wait until it is brought up to date.",
};

/** What this browser cannot do for a day without a signal, and why. */
export const SHORTCOMING = {
  plainHttp:
    "This address is plain http: the pages cannot open without a connection here, and the browser may empty its storage when the tablet runs out of space. Do not close the page without a signal. Open the https address of the farm.",
  noWorker: "This browser does not keep pages for opening without a connection. Use a current Chrome, Edge, Firefox or Safari, not a private window.",
  noStorage: "This browser refuses to keep anything. What cannot be sent at once is lost when the page is closed. Leave the private window, or allow storage.",
  full: "This tablet's storage is full. Free some space: new records are only on this open page until they are sent.",
  heldOpen:
    "An older tab of these pages keeps this tablet's storage from being brought up to date. Close the other tabs; what waits in it is safe.",
  mayBeEmptied: "This browser may empty its storage when the tablet runs out of space. Put the page on the home screen; that protects it.",
} as const;
export type Shortcoming = keyof typeof SHORTCOMING;

/**
 * Say in one line how the outbox stands; `unsafe` of its records are in this page's memory only, which is said elsewhere.
 *
 * "All sent" is said of nothing that waits, was refused, or was set aside and not read yet.
 */
export function queueWords({ waiting, setAside, refused, refusedSeen }: Tally, busy: boolean, unsafe: number): string {
  const [safe, notTaken] = [waiting - unsafe, refused + refusedSeen];
  const parts = [
    safe > 0 ? QUEUE.waiting(safe) : "",
    safe > 0 && busy ? QUEUE.sending : "",
    setAside > 0 ? QUEUE.setAside(setAside) : "",
    notTaken > 0 ? QUEUE.notTaken(notTaken) : "",
  ].filter((part) => part !== "");
  return parts.length === 0 && waiting === 0 && unsafe === 0 ? QUEUE.allSent : parts.join(" ");
}

/** Say what a record is about, and when it was made. */
export function entryWords({ kind, subject, record, made_at }: Entry, blockCode: string, timeZone: string): string {
  const positions =
    subject.position !== undefined
      ? `, position ${subject.position}`
      : "first" in record
        ? record.first === record.last
          ? `, position ${record.first}`
          : `, positions ${record.first} to ${record.last}`
        : "";
  const about = kind === "crew_days" ? "" : `, ${blockCode} row ${subject.row}${positions}`;
  return `${one[kind]}${about}, ${momentText(made_at, timeZone)}`;
}

/** Say how far a clock is off: 6 minutes, 3 hours, 2 days. */
export function offWords(seconds: number): string {
  const s = Math.abs(seconds);
  const [n, unit] = s < 5_400 ? [s / 60, "minute"] : s < 129_600 ? [s / 3_600, "hour"] : [s / 86_400, "day"];
  const whole = Math.max(1, Math.round(n));
  return `${count(whole)} ${unit}${whole === 1 ? "" : "s"}`;
}
