/** Where a position lies on a strip drawn across the screen, and which position a finger means. */

/** Return the place of the gap before `position` (1-based) as a share of a strip for `longest` positions. */
export function edgeShare(position: number, longest: number): number {
  return longest > 0 ? (position - 1) / longest : 0;
}

/** Return the position under `xPx` on a strip `widthPx` wide for `longest` positions, held inside 1...`positions`. */
export function positionAt(xPx: number, widthPx: number, longest: number, positions: number): number {
  const raw = Math.floor((xPx / Math.max(widthPx, 1)) * longest) + 1;
  return Math.min(Math.max(raw, 1), positions);
}

/** Return `value` held inside first...last. */
export function held(value: number, first: number, last: number): number {
  return Math.min(Math.max(value, first), last);
}
