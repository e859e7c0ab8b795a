/** A picture that came as SVG text from the service: read as data, and made anew from the few shapes a code consists of. */

import { s } from "./dom";

const SHAPES = ["svg", "g", "path", "rect"] as const;
const TRAITS = ["viewBox", "width", "height", "x", "y", "d", "fill", "stroke", "stroke-width", "transform"];

function anew(element: Element): SVGElement | null {
  const shape = SHAPES.find((one) => one === element.localName);
  if (shape === undefined) return null;
  const traits: Record<string, string> = {};
  for (const name of TRAITS) {
    const value = element.getAttribute(name);
    if (value !== null) traits[name] = value;
  }
  return s(shape, traits, ...[...element.children].map(anew));
}

/** Return the picture, or null when the text is none; scripts, styles, links and handlers have no way in. */
export function pictureOf(svg: string, alt: string): SVGElement | null {
  const read = new DOMParser().parseFromString(svg, "image/svg+xml").documentElement;
  if (read.localName !== "svg") return null;
  const picture = anew(read);
  picture?.setAttribute("role", "img");
  picture?.setAttribute("aria-label", alt);
  return picture;
}
