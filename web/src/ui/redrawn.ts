/** Draw what stands on a page anew, so that keyboard, scrolled boxes and fingers find what they were at. */

import { CALM_MS } from "./settling";

const FIELDS = ["input", "select", "textarea"].join();
const TAPPED = ["a", "button", "summary", "label", "[role=button]", FIELDS].join();
const [CARDS, TITLES] = [["article", "tr"].join(), ["h3", "th"].join()];
/** A field takes the keyboard, and a list opens, as soon as it is pressed. */
const TAPS = ["mousedown", "click"] as const;
const FOCUSED = [TAPPED, "[tabindex]"].join();

/** Return what a field is called by the words beside it; of several choices, which one it is. */
function fieldName(field: HTMLInputElement): (string | null | undefined)[] {
  if (field.type === "radio") return [field.value, field.closest("fieldset")?.querySelector("legend")?.textContent];
  return [field.type, field.labels?.[0]?.textContent];
}

/** Return what tells one element from others like it: what it is called, and on which card or line; words that may be counted anew only where nothing else does. */
function nameOf(one: HTMLElement): string {
  // the words of a choice may be counted anew, and choose the same
  if (one instanceof HTMLLabelElement && one.control !== null) return `of ${nameOf(one.control)}`;
  const [href, label] = [one.getAttribute("href"), one.getAttribute("aria-label")];
  const isKnown = href !== null || label !== null || Object.keys(one.dataset).length > 0;
  const whose = one.closest(CARDS)?.querySelector(TITLES)?.textContent;
  const words = one.matches(FIELDS) ? fieldName(one as HTMLInputElement) : isKnown ? [] : [one.textContent];
  return [one.tagName, href, label, JSON.stringify(one.dataset), whose, ...words].join("\n");
}

const allIn = (box: HTMLElement, which: string): HTMLElement[] => [...box.querySelectorAll<HTMLElement>(which)];

/** Run `draw`, which puts other elements where the keyboard stands: it goes on at the one that says the same. */
function keepFocus(box: HTMLElement, draw: () => void): void {
  const before = document.activeElement;
  const name = before instanceof HTMLElement && before !== box && box.contains(before) ? nameOf(before) : null;
  const alike = (): HTMLElement[] => allIn(box, FOCUSED).filter((one) => nameOf(one) === name);
  // of those that say the same it is the one in the same place
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
  const before = allIn(box, TAPPED).map((one) => ({ one, name: nameOf(one), place: one.getBoundingClientRect() }));
  draw();
  /** It was there, and nothing else was where it is tapped now: what stands elsewhere now was meant itself, and not what says the same. */
  const isMeant = (target: HTMLElement, { clientX: x, clientY: y }: MouseEvent): boolean => {
    const name = nameOf(target);
    const isIt = ({ one, name: was }: (typeof before)[number]): boolean => one === target || (was === name && !one.isConnected);
    const here = before.filter(({ place }) => x >= place.left && x <= place.right && y >= place.top && y <= place.bottom);
    return here.length > 0 ? here.some(isIt) : before.some(isIt);
  };
  /** Of a label that was tapped: the browser taps it too, at the label's place. */
  let labelled: HTMLElement | null = null;
  const look = (event: MouseEvent): void => {
    const target = event.target instanceof Element ? event.target.closest<HTMLElement>(TAPPED) : null;
    // a key has no place: it goes to what it stands on
    if ((event.type === "click" && event.detail === 0) || target === null || !box.contains(target)) return;
    if (target === labelled || isMeant(target, event)) {
      labelled = event.type === "click" && target instanceof HTMLLabelElement ? target.control : null;
      return;
    }
    event.preventDefault();
    event.stopImmediatePropagation();
  };
  const over = (): void => {
    for (const tap of TAPS) removeEventListener(tap, look, true);
    for (const scrolled of ["wheel", "touchmove"]) removeEventListener(scrolled, over, true);
  };
  for (const tap of TAPS) addEventListener(tap, look, true);
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
