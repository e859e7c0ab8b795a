/** How things stand between this device and the service: what the shell says in words. */

import { dayIn } from "../../core/ahead";
import type { Access } from "../../core/contracts";
import type { Hindrance } from "../../core/course";
import { hourText, momentText } from "../../core/numbers";
import { isOld, SKEW_S, tally, type Entry, type RefusedPhoto } from "../../core/outbox";
import { HINDRANCE, offWords, QUEUE, queueWords, SHORTCOMING, type Shortcoming } from "../../core/queue-wording";
import { makesRecords } from "../../core/who";
import { SHELL } from "../../core/wording";

export interface Standing {
  /** Whether the service answered the last time; null before anything was asked. */
  answered: boolean | null;
  lastAnswer: Date | null;
  /** The age of what is shown from this device instead of the service. */
  asOf: string | null;
  /** What is shown from this device was read in another season. */
  isOfEarlierSeason: boolean;
  entries: readonly Entry[];
  /** Records that are in this page's memory only. */
  unsafe: number;
  /** Photos of checks that the service does not have yet. */
  photos: number;
  refusedPhotos: readonly RefusedPhoto[];
  busy: boolean;
  because: Hindrance | null;
  /** How far this device's clock is off, as this page heard it. */
  skew_s: number | null;
  /** The same, as it was heard last, by this page or one before it. */
  known_skew_s: number | null;
  shortcomings: readonly Shortcoming[];
  /** Takes the newer version of the pages that waits, or null. */
  update: (() => void) | null;
  /** Another tab runs newer pages over the same database. */
  outdated: boolean;
}
export interface Banner {
  strong: string;
  text: string;
  action: "send" | "queue" | "update" | "load" | null;
}

const LOUD = new Set<Hindrance>(["sign_in", "revoked", "not_allowed", "newer"]);

/** Return what must be seen at once, most pressing first. */
export function bannersOf(standing: Standing, timeZone: string, nowMs: number): Banner[] {
  const { unsafe, because, skew_s } = standing;
  const { waiting, refused, oldestWaiting } = tally(standing.entries);
  const banners: Banner[] = [];
  if (unsafe > 0) banners.push({ strong: QUEUE.notSafe(unsafe), text: QUEUE.keepOpen, action: "send" });
  for (const one of standing.shortcomings) {
    if (one === "full" || one === "heldOpen" || (one === "noStorage" && unsafe > 0)) banners.push({ strong: "", text: SHORTCOMING[one], action: null });
  }
  if (waiting > 0 && because !== null && LOUD.has(because)) {
    banners.push({ strong: QUEUE.waiting(waiting), text: HINDRANCE[because], action: "queue" });
  }
  if (refused > 0) banners.push({ strong: QUEUE.refused(refused), text: "", action: "queue" });
  if (oldestWaiting !== null && isOld(oldestWaiting, nowMs)) {
    banners.push({ strong: QUEUE.old(momentText(oldestWaiting, timeZone)), text: "", action: "queue" });
  }
  if (skew_s !== null && Math.abs(skew_s) > SKEW_S) {
    banners.push({ strong: "", text: QUEUE.clock(offWords(skew_s), skew_s > 0), action: null });
  }
  if (standing.outdated) banners.push({ strong: "", text: QUEUE.otherVersion, action: "load" });
  else if (standing.update !== null) banners.push({ strong: "", text: QUEUE.newer, action: "update" });
  return banners;
}

/** Return what this browser cannot do, as far as no banner says it already. */
export function lackingOf(standing: Standing, banners: readonly Banner[]): string[] {
  const said = new Set(banners.map(({ text }) => text));
  return standing.shortcomings.map((one) => SHORTCOMING[one]).filter((text) => !said.has(text));
}

/** Tell whether the line about the outbox is shown; null is nobody who is let in. */
export function needsQueue(role: Access | null, entries: readonly Entry[]): boolean {
  // what somebody else left on this device is never out of sight
  const isOpen = ({ state, seen }: Entry): boolean => state === "waiting" || (state !== "sent" && seen !== true);
  return role !== null && (makesRecords(role) || entries.some(isOpen));
}

/** Say in one line how the outbox and the connection stand, and how old what is shown is. */
export function lineOf(standing: Standing, timeZone: string, nowMs: number): string {
  const words = queueWords(tally(standing.entries), standing.busy && standing.answered !== false, standing.unsafe, standing.photos, standing.refusedPhotos.length);
  return [words, ageOf(standing, timeZone, nowMs)].filter((part) => part !== "").join(" ");
}

function ageOf({ answered, asOf, lastAnswer, isOfEarlierSeason }: Standing, timeZone: string, nowMs: number): string {
  if (asOf !== null && !isOfEarlierSeason && answered === true) return ""; // the line at the foot says that it is slow
  if (asOf !== null) return (isOfEarlierSeason ? QUEUE.earlierSeason : QUEUE.shownAsOf)(momentText(asOf, timeZone));
  if (lastAnswer === null) return QUEUE.heardNever;
  const isToday = dayIn(timeZone, lastAnswer.getTime()) === dayIn(timeZone, nowMs);
  return QUEUE.heard((isToday ? hourText : momentText)(lastAnswer.toISOString(), timeZone));
}

/** Say how the connection stands, and how old what is shown may be. */
export function connectionOf({ answered, lastAnswer, asOf, isOfEarlierSeason }: Standing, timeZone: string): string {
  if (answered === null) return SHELL.connecting;
  if (asOf !== null) return (isOfEarlierSeason ? QUEUE.earlierSeason : answered ? QUEUE.slow : QUEUE.fromHere)(momentText(asOf, timeZone));
  return answered ? SHELL.connected(hourText((lastAnswer ?? new Date()).toISOString(), timeZone)) : SHELL.noConnection;
}
