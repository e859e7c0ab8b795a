/** Signs of a brief as its printed card has them: how much a point weighs, and whether it is checked or only taught. */

import type { PointClass } from "../core/brief-contracts";
import { s } from "./dom";

const DISCS: Record<PointClass, number> = { critical: 3, major: 2, minor: 1 };
const LINE = { stroke: "currentColor", "stroke-width": 1.2 };

/** Return three discs, as many of them full as the point weighs. */
export function weightSign(of: PointClass): SVGElement {
  const disc = (at: number): SVGElement =>
    s("circle", { cx: 6 + 11 * at, cy: 6, r: 4.2, ...LINE, fill: at < DISCS[of] ? "currentColor" : "none" });
  return sign(34, disc(0), disc(1), disc(2));
}

/** Return a ticked box for a point that is checked, a broken empty one for one that is only taught. */
export function checkSign(isChecked: boolean): SVGElement {
  const box = s("rect", { x: 1, y: 1, width: 10, height: 10, ...LINE, fill: "none", "stroke-dasharray": isChecked ? null : "2 1.6" });
  return sign(12, box, isChecked && s("path", { d: "M3,6.2 L5.2,8.8 L9.4,2.6", ...LINE, "stroke-width": 1.6, fill: "none" }));
}

function sign(width: number, ...drawn: (SVGElement | false)[]): SVGElement {
  return s("svg", { class: "brief-sign", viewBox: `0 0 ${width} 12`, width: 2 * width, height: 24, "aria-hidden": "true" }, ...drawn);
}
