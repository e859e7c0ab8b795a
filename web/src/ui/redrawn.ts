/** Draw what stands on a page anew, so that keyboard, scrolled boxes and fingers find what they were at. */

import { CALM_MS } from "./settling";

const TAPPED = ["a", "button", "summary", "label", "[role=button]", "input", "select", "textarea"].join();
const FOCUSED = [TAPPED, "[tabindex]"].join();

/** Return what tells one element from others like it; words that may be counted anew only where nothing else does. */
function nameOf(one: HTMLElement): string {
  const known = Object.keys(one.dataset).length > 0;
  return [one.tagName, one.getAttribute("href"), JSON.stringify(one.dataset), ...(known ? [] : [one.getAttribute("aria-label"), one.textContent])].join("\n");
}

const allIn = (box: HTMLElement, which: string): HTMLElement[] => [...box.querySelectorAll<HTMLElement>(which)];

/** Run `draw`, which puts other elements where the keyboard stands: it goes on at the one that says the same. */
function keepFocus(box: HTMLElement, draw: () => void): void {
  const before = document.activeElement;
  const name = before instanceof HTMLElement && before !== box && box.contains(before) ? nameOf(before) : null;
  const alike = (): HTMLElement[] => allIn(box, FOCUSED).filter((one) => nameOf(one) === name);
  // fields are named beside themselves: of those that say the same it is the one in the same place
  const at = name === null ? -1 : alike().findIndex((one) => one === before);
  draw();
  if (at < 0 || box.contains(document.activeElement)) return;
  alike()[at]?.focus({ preventScroll: true });
}

/** Run `draw`: boxes that scroll by themselves stay scrolled to where they were. */
function keepScrolls(box: HTMLElement, draw: () => void): void {
  const like = ({ tagName, className }: HTMLElement): string => `${tagName} ${className}`;
  const alike = (name: string): HTMLElement[] => allIn(box, "*").filter((one) => like(one) === name);
  const scrolled = allIn(box, "*")
    .filter(({ scrollLeft, scrollTop }) => scrollLeft !== 0 || scrollTop !== 0)
    .map((one) => ({ name: like(one), at: alike(like(one)).indexOf(one), left: one.scrollLeft, top: one.scrollTop }));
  draw();
  for (const { name, at, left, top } of scrolled) alike(name)[at]?.scrollTo({ left, top, behavior: "instant" });
}

/** Run `draw`: for a moment no tap goes to what has just come under the finger; what was to be seen before takes it. */
function keepTaps(box: HTMLElement, draw: () => void): void {
  const before = allIn(box, TAPPED).map((one) => ({ name: nameOf(one), place: one.getBoundingClientRect() }));
  draw();
  /** It was there, and nothing else was where it is tapped now. */
  const isMeant = (target: HTMLElement, { clientX: x, clientY: y }: MouseEvent): boolean => {
    const name = nameOf(target);
    const here = before.filter(({ place }) => x >= place.left && x <= place.right && y >= place.top && y <= place.bottom);
    return here.length > 0 ? here.some((one) => one.name === name) : before.some((one) => one.name === name);
  };
  const look = (event: MouseEvent): void => {
    const target = event.target instanceof Element ? event.target.closest<HTMLElement>(TAPPED) : null;
    // a key has no place: it goes to what it stands on
    if (event.detail === 0 || target === null || !box.contains(target) || isMeant(target, event)) return;
    event.preventDefault();
    event.stopImmediatePropagation();
  };
  const over = (): void => {
    removeEventListener("click", look, true);
    for (const scrolled of ["wheel", "touchmove"]) removeEventListener(scrolled, over, true);
  };
  addEventListener("click", look, true);
  // who scrolls has seen what lies under the finger now
  for (const scrolled of ["wheel", "touchmove"]) addEventListener(scrolled, over, { capture: true, passive: true });
  // counted from the moment it is painted: a slow tablet shows it later than it was made
  requestAnimationFrame(() => setTimeout(over, CALM_MS));
}

/** Run `draw`, which draws what is in `box` anew; `isUnasked` where nobody expects it. */
export function redrawn(box: HTMLElement, draw: () => void, isUnasked: boolean): void {
  const run = (): void => keepFocus(box, () => keepScrolls(box, draw));
  if (isUnasked) keepTaps(box, run);
  else run();
}
