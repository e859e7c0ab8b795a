/** Whether a hand is on what the page shows: nothing is drawn away from under it. */

/** After a touch, a key or a turn of the wheel a hand counts as resting when so long nothing came of it. */
export const RESTS_MS = 700;
/** What is pressed and does not move for so long is not held any more: menus and scroll bars swallow the end of it. */
const HELD_MS = 5_000;

const MOVES = ["pointerdown", "pointermove", "pointerup", "pointercancel", "keydown", "keyup", "wheel", "touchmove", "scroll"] as const;
/** A hand on the map of a frame moves nothing on the page round it: only that it stands there tells of it. */
const FIELDS = ["input", "select", "textarea", "iframe"].join();
/** Opens something, or says something: unlike a link, which leads away. */
const OPENS = ["button", "summary", "[role=button]"].join();

export interface Hand {
  /** For how long nothing was touched, pressed or turned; 0 while something is held down. */
  rested_ms(): number;
  /** Whether something in the box is being filled in or its text selected, or was typed, chosen or opened since it was drawn. */
  holds(): boolean;
  /** It was drawn anew: nothing in it is typed or open. */
  drawn(): void;
  leave(): void;
}

/** Return what is known of the hand on `box`. */
export function handOn(box: HTMLElement, now: () => number = () => performance.now()): Hand {
  let movedAt = -Infinity;
  let isPressed = false;
  let isTouched = false;
  const moves = (event: Event): void => {
    // a mouse that only passes over holds nothing
    if (event.type === "pointermove" && !isPressed) return;
    if (event.type === "pointerdown") isPressed = true;
    if (event.type === "pointermove" && (event as PointerEvent).buttons === 0) isPressed = false;
    if (event.type === "pointerup" || event.type === "pointercancel") isPressed = false;
    movedAt = now();
  };
  const fills = (): void => void (isTouched = true);
  const opens = (event: Event): void => {
    const on = event.target instanceof Element ? event.target.closest(OPENS) : null;
    if (on !== null && box.contains(on)) isTouched = true;
  };
  for (const name of MOVES) addEventListener(name, moves, { capture: true, passive: true });
  for (const name of ["input", "change"]) box.addEventListener(name, fills);
  box.addEventListener("click", opens, true);
  return {
    rested_ms: () => Math.max(0, now() - movedAt - (isPressed ? HELD_MS : 0)),
    holds() {
      const { activeElement } = document;
      const selection = getSelection();
      const isSelected = selection !== null && !selection.isCollapsed && selection.getRangeAt(0).intersectsNode(box);
      return isTouched || isSelected || (activeElement !== null && box.contains(activeElement) && activeElement.matches(FIELDS));
    },
    drawn: () => void (isTouched = false),
    leave() {
      for (const name of MOVES) removeEventListener(name, moves, true);
    },
  };
}
