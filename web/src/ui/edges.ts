/** Bars that stay at an edge of the page: whatever gets the focus is scrolled clear of them. */

/**
 * Return `box`, having told the page how tall it is for as long as it is there: `--top-bar` and `--bottom-bar` of the root,
 * by which `sheet.css` keeps what is scrolled into sight from under it.
 */
export function atEdge<Box extends HTMLElement>(edge: "top" | "bottom", box: Box): Box {
  // a box that is taken away has no height, which is told too
  new ResizeObserver(() => document.documentElement.style.setProperty(`--${edge}-bar`, `${box.offsetHeight}px`)).observe(box);
  return box;
}
