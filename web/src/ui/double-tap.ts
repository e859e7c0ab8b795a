/**
 * Guard against the second tap of a double tap, for everything that a tap uncovers: rows under a panel that closes, verdicts
 * under a dialog, a button that moves under the finger.
 *
 * The place of the finger alone rests, and only once something else lies there than was tapped: other rows can be tapped at
 * once, and a button that stays can be tapped as fast as one likes. A cover does it rather than `inert`, which would take the
 * keyboard away from where it stands.
 */

import { CALM_MS } from "./settling";

const TAKES_TAPS = "button, a, summary, label, input, select, textarea";

/** Watch the taps of a page. */
export function guardDoubleTaps(): void {
  const cover = document.createElement("div");
  cover.className = "tap-cover";
  cover.setAttribute("aria-hidden", "true");
  let turn = 0;
  let timer = 0;

  const lies = ({ clientX, clientY }: MouseEvent): Element | null => {
    const hit = document.elementFromPoint(clientX, clientY);
    return hit?.closest(TAKES_TAPS) ?? hit;
  };
  const rest = ({ clientX, clientY }: MouseEvent): void => {
    cover.style.left = `${clientX}px`;
    cover.style.top = `${clientY}px`;
    // what is not in an open dialog lies beneath it
    (document.querySelector("dialog:modal") ?? document.body).append(cover);
    clearTimeout(timer);
    // counted from the moment it is painted: a slow tablet shows it later than it was made
    requestAnimationFrame(() => (timer = window.setTimeout(() => cover.remove(), CALM_MS)));
  };
  window.addEventListener(
    "click",
    (event) => {
      if (event.detail === 0) return; // from the keyboard: it has no place
      if (event.target === cover) return; // it ends when it ends, however often it is tapped
      const mine = (turn += 1);
      const before = lies(event);
      const until = performance.now() + CALM_MS;
      const look = (): void => {
        if (mine !== turn) return;
        if (lies(event) !== before) rest(event);
        else if (performance.now() < until) requestAnimationFrame(look);
      };
      // once the tap has done its work, before the next one can come; then whatever comes a little later
      window.addEventListener("click", look, { once: true });
    },
    { capture: true },
  );
  // who scrolls has seen what lies under the finger now
  for (const scrolled of ["wheel", "touchmove"]) {
    window.addEventListener(scrolled, () => (turn += 1), { capture: true, passive: true });
  }
}
