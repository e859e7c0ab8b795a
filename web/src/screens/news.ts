/** Newer work where people read and fill in: drawn by itself while no hand is on it, told above it where one is. */

import { NEWS } from "../core/news-wording";
import { aloneOf } from "../data/in-turn";
import { fill, h } from "../ui/dom";
import { handOn, RESTS_MS, type Hand } from "../ui/hand";
import { keepInPlace } from "../ui/keep-in-place";
import { redrawn } from "../ui/redrawn";
import "./news.css";

export interface NewsTools {
  /** What is drawn anew. */
  body: HTMLElement;
  /** Up to where it is drawn; null while that is not known. */
  cursor(): number | null;
  /** Read, and draw by `draw`; `isUnasked` where it comes by itself: then what stands there stays if nothing can be read. */
  read(isUnasked: boolean): Promise<unknown>;
  /** Of a screen whose drawing keeps what is typed and open: how long to wait yet, in ms, for a hand that is on it. */
  waits_ms?(hand: Pick<Hand, "rested_ms">): number;
}
export interface News {
  /** Where it is told that there is something newer. */
  line: HTMLElement;
  newer(records: number): void;
  /** Draw what was read, and keep up to where: what was told is over. What came unasked is not drawn once a hand has come meanwhile. */
  draw(run: () => void, isUnasked?: boolean): void;
  leave(): void;
}

/** What takes the service long is not asked of it without a pause: so many times as long as the last reading took. */
const PAUSES = 3;
const LONGEST_PAUSE_MS = 10_000;
/** After a reading that brought nothing, and twice as long after each one that follows. */
const FAILED_PAUSE_MS = 1_000;
/** What could not be drawn by itself for so long is told: a hand that never rests, no answer, other windows that read first. */
const LATE_MS = 5_000;

/** Return the news of one screen. */
export function newsOf({ body, cursor, read, waits_ms }: NewsTools): News {
  const line = h("div", { class: "newer", role: "status" });
  const hand = handOn(body);
  // windows of one browser share few connections: what comes by itself is read by one after the other
  const alone = aloneOf(navigator.locks);
  let due: ReturnType<typeof setTimeout> | undefined;
  let notBefore = 0;
  let isReading = false;
  /** So many readings one after the other brought nothing: no answer, or a refusal. */
  let failed = 0;
  /** A hand came while it was read, or the screen was drawn by what was asked for since. */
  let isDropped = false;
  /** The service's cursor that was told of last. */
  let wanted = 0;
  /** To be read whatever the cursor says. */
  let isCalled = false;
  /** Since when there is something newer that could have been read; null while there is nothing. */
  let behindSince: number | null = null;
  /** Drawn so many times: what was read before the last one is older than what stands there. */
  let drawn = 0;
  let drawnBefore = 0;
  let left = false;
  const now = (): number => performance.now();

  const ask = async (isUnasked: boolean): Promise<void> => {
    const begun = now();
    const before = cursor();
    const begin = (): Promise<unknown> => {
      isCalled = false;
      drawnBefore = drawn;
      return read(isUnasked);
    };
    isReading = true;
    isDropped = false;
    try {
      await (isUnasked ? alone(begin) : begin());
    } finally {
      isReading = false;
      notBefore = now() + Math.min(LONGEST_PAUSE_MS, PAUSES * (now() - begun));
    }
    if (left) return;
    // a database that was put back counts from less
    if ((cursor() ?? 0) < (before ?? 0)) wanted = cursor() ?? 0;
    const missed = Math.max(0, wanted - (cursor() ?? wanted));
    failed = missed > 0 && cursor() === before && !isDropped ? failed + 1 : 0;
    if (failed > 0) notBefore = Math.max(notBefore, now() + Math.min(LONGEST_PAUSE_MS, FAILED_PAUSE_MS * 2 ** (failed - 1)));
    if (missed > 0 || isDropped || isCalled) newer(missed);
    // it is what stood there already
    else shown();
  };
  const words = h("span", {});
  const again = h("button", { type: "button", on: { click: () => void ask(false) } }, NEWS.readAgain);
  const tell = (records: number): void => {
    const said = NEWS.newer(records);
    if (line.contains(again) && words.textContent === said) return;
    keepInPlace(body, () => {
      words.textContent = said;
      // put in anew it would lose the keyboard
      if (!line.contains(again)) fill(line, words, again);
    });
  };
  /** Nothing newer than what stands there is known. */
  const shown = (): void => {
    behindSince = null;
    if (line.childElementCount > 0) keepInPlace(body, () => fill(line));
  };
  const newer = (records: number): void => {
    clearTimeout(due);
    due = undefined;
    if (left) return;
    isCalled ||= records === 0;
    const upTo = (cursor() ?? 0) + records;
    wanted = isReading ? Math.max(wanted, upTo) : upTo;
    behindSince ??= Math.max(now(), notBefore);
    const isHeld = waits_ms === undefined && hand.holds();
    if (isHeld || (waits_ms === undefined && now() - behindSince > LATE_MS)) tell(records);
    if (isHeld || isReading) return;
    const wait = Math.max(RESTS_MS - hand.rested_ms(), waits_ms?.(hand) ?? 0, notBefore - now());
    // what the screen has read for itself by then is not counted a second time
    const later = (): void => {
      const missing = Math.max(0, wanted - (cursor() ?? 0));
      if (isCalled || missing > 0) newer(missing);
    };
    if (wait > 0) due = setTimeout(later, wait);
    else void ask(true);
  };
  return {
    line,
    newer,
    draw(run, isUnasked = false) {
      const isOld = drawn !== drawnBefore;
      if (isUnasked && waits_ms === undefined && (isOld || hand.holds() || hand.rested_ms() < RESTS_MS)) return void (isDropped = true);
      drawn += 1;
      redrawn(body, run, isUnasked);
      hand.drawn();
      shown();
    },
    leave() {
      left = true;
      clearTimeout(due);
      hand.leave();
    },
  };
}
