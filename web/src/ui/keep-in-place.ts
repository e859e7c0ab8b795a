/** Change what stands above something without moving it: no button slips from under a finger. */

/** Run `change` and scroll by as much as it moved `content`. */
export function keepInPlace(content: HTMLElement, change: () => void): void {
  const page = document.documentElement;
  const before = content.getBoundingClientRect().top;
  page.style.overflowAnchor = "none"; // the browser must not scroll a second time
  change();
  const moved = content.getBoundingClientRect().top - before;
  if (moved > 0) {
    // a page too short to scroll is made long enough for it
    const missing = window.scrollY + moved - (page.scrollHeight - page.clientHeight);
    if (missing > 0) document.body.style.minHeight = `${page.scrollHeight + missing}px`;
  }
  if (moved < 0) document.body.style.removeProperty("min-height");
  window.scrollBy(0, moved);
  requestAnimationFrame(() => page.style.removeProperty("overflow-anchor"));
}
