/** Guard against the second tap of a double tap that lands on what has just appeared. */

const CALM_MS = 600;
const timers = new WeakMap<HTMLElement, number>();

/** Let `box` take no tap until it was seen for a moment; `inert` lets fingers scroll all the same. */
export function settle(box: HTMLElement): void {
  box.inert = true;
  // counted from the moment it is painted: a slow tablet shows it later than it was made
  requestAnimationFrame(() => {
    clearTimeout(timers.get(box)); // what moves while it settles begins anew
    timers.set(
      box,
      window.setTimeout(() => (box.inert = false), CALM_MS),
    );
  });
}
