/** Guard against a tap that lands on what has just appeared by itself; of what a tap uncovers takes care `double-tap`. */

export const CALM_MS = 600;
const timers = new WeakMap<HTMLElement, number>();

/** Let `box` take no tap until it was seen for a moment, then do `ready`; `inert` lets fingers scroll all the same. */
export function settle(box: HTMLElement, ready: () => void = () => undefined): void {
  box.inert = true;
  // counted from the moment it is painted: a slow tablet shows it later than it was made
  requestAnimationFrame(() => {
    clearTimeout(timers.get(box)); // what moves while it settles begins anew
    timers.set(
      box,
      window.setTimeout(() => {
        box.inert = false;
        ready();
      }, CALM_MS),
    );
  });
}
