/** Where bars stand on a board that shows the whole season at once: one too short to be touched is drawn wider, and what it would cover goes a level down. */

import { onBoard, type Span } from "./plan-queues";

export interface PlacedBar {
  /** From which to which working day it is drawn, parts of days too. */
  from: number;
  to: number;
  /** 0 for the uppermost. */
  level: number;
  /** How much of what is drawn is its time, 0 to 1. */
  share: number;
}

/**
 * Return the place of each bar of a lane, in the order of `spans`, which is that of their beginnings.
 * `width` is that of the board and `least` that of the narrowest bar, in working days.
 */
export function levelled(spans: readonly Span[], width: number, least: number): PlacedBar[] {
  const free: number[] = [];
  return spans.map((span) => {
    const { from: begins, to: ends } = onBoard(span, width);
    const wide = Math.min(width, Math.max(least, ends - begins));
    const from = Math.max(0, Math.min(begins, width - wide));
    const at = free.findIndex((until) => until <= from + 1e-9);
    const level = at < 0 ? free.length : at;
    free[level] = from + wide;
    return { from, to: from + wide, level, share: wide > 0 ? (ends - begins) / wide : 1 };
  });
}

/** Return how many levels bars take; 1 where there are none. */
export function levelsOf(bars: readonly Pick<PlacedBar, "level">[]): number {
  return Math.max(0, ...bars.map(({ level }) => level)) + 1;
}
