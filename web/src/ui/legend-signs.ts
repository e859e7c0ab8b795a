/**
 * The signs of the legend as elements: twig and tick patterns, buds, ring and pith.
 *
 * legend.json is what the library's `maps.legend.as_json()` says; a test keeps the two the same.
 */

import type { BlockVerdict, LotVerdict, TreeVerdict } from "../core/contracts";
import { s } from "./dom";
import legend from "./legend.json";

/** Strips are held at arm's length: twice the weight of the map's lines. */
const SCALE = 2;
export const WEIGHT_PX = legend.weight_px * SCALE;
export const LINES = legend.lines;
const PALETTE = legend.palette;
type Colour = keyof typeof PALETTE;
export type Light = "day" | "night";

function variable(name: string): string {
  return `--${name.replace("_", "-")}`;
}

/** Give the style sheets and signs the legend's colours as variables: on paper by day, on a dark ground by night. */
export function paintFromLegend(root: HTMLElement, light: Light = "day"): void {
  for (const [name, colour] of Object.entries(light === "day" ? PALETTE : legend.night)) {
    root.style.setProperty(variable(name), colour);
  }
}

/** Return what paints a colour of the legend by day and by night: its meaning, not its number. */
export function paint(colour: string): string {
  const name = (Object.keys(PALETTE) as Colour[]).find((one) => PALETTE[one] === colour);
  if (name === undefined) throw new Error(`The legend has no colour ${colour}.`);
  return `var(${variable(name)})`;
}

/** The lighter ground inside signs, and paper itself. */
export const GROUND = { sheet: `var(${variable("sheet")})`, paper: `var(${variable("paper")})` } as const;

interface Glyph {
  colour: string;
  outline: string;
  filled: string;
  strokes: string;
}

/** Return one sign of the legend around 0,0 in a box from -12 to 12. */
export function sign(glyph: Glyph, scale = 1): SVGGElement {
  return s(
    "g",
    { transform: `scale(${scale})` },
    s("path", { d: glyph.outline, fill: GROUND.sheet, stroke: paint(glyph.colour), "stroke-width": 1.8 }),
    glyph.filled === "" ? null : s("path", { d: glyph.filled, fill: paint(glyph.colour) }),
    glyph.strokes === ""
      ? null
      : s("path", { d: glyph.strokes, fill: "none", stroke: paint(glyph.colour), "stroke-width": 2.2, "stroke-linecap": "round" }),
  );
}

/** Return the bud of a verdict; a tree seen while walking has a smaller one. */
export function bud(verdict: TreeVerdict, drawn: boolean): SVGGElement {
  return sign(legend.buds[verdict], drawn ? 1.15 : 0.8);
}

/** Return the sign of a position that holds no tree of the block's variety. */
export function placeSign(place: "blank" | "pollinizer"): SVGGElement {
  return sign(legend.places[place], place === "blank" ? 0.7 : 0.9);
}

/** Return a bud as a picture of its own, for buttons and lists. */
export function budPicture(verdict: TreeVerdict): SVGSVGElement {
  return s(
    "svg",
    { viewBox: "-13 -13 26 26", class: "bud-picture", "aria-hidden": "true" },
    sign(legend.buds[verdict]),
  );
}

/** Return the pith of a lot as a picture of its own: what was decided of it. */
export function pithPicture(verdict: LotVerdict): SVGSVGElement {
  return s("svg", { viewBox: "-9 -9 18 18", class: "pith-picture", "aria-hidden": "true" }, sign(legend.piths[verdict]));
}

/** What stands on a block's ring, trees to be gone over again, and beside it, weak areas; how many decides nothing. */
export interface RingSigns {
  again?: number;
  weak?: number;
}

/** Ticks that lean across the ring in the west, each on a ground of its own. */
function againTicks(radius: number): SVGElement[] {
  const tick = (turn: number): string => {
    const at = (share: number, reach: number): string => {
      const angle = 2 * Math.PI * (share - 0.25);
      return `${(reach * Math.cos(angle)).toFixed(1)} ${(reach * Math.sin(angle)).toFixed(1)}`;
    };
    return `M${at(turn - 0.02, radius - 4)}L${at(turn + 0.02, radius + 4)}`;
  };
  const d = [0.7, 0.8].map(tick).join("");
  return [
    s("path", { d, stroke: GROUND.sheet, "stroke-width": 4.6 }),
    s("path", { d, stroke: paint(LINES.again.colour), "stroke-width": 2.2 }),
  ];
}

/** The small hatched square of a weak area, north-west of the ring. */
function weakSquare(): SVGElement {
  const { colour } = legend.patches.suspect;
  const line = { stroke: paint(colour), "stroke-width": 1.2 };
  return s(
    "g",
    { transform: "translate(-14 -14)" },
    s("rect", { x: -4.5, y: -4.5, width: 9, height: 9, fill: GROUND.sheet, ...line }),
    s("path", { d: "M-4.5 0.5L0.5 -4.5M-4.5 4.5L4.5 -4.5M-0.5 4.5L4.5 -0.5", fill: "none", ...line }),
  );
}

/** Return the ring of a block: it closes clockwise from north as it is pruned; its pith speaks of quality once it is begun. */
export function ringPicture(share: number, verdict: BlockVerdict, { again = 0, weak = 0 }: RingSigns = {}): SVGSVGElement {
  const radius = 15;
  const around = 2 * Math.PI * radius;
  const dash = around / 14;
  return s(
    "svg",
    { viewBox: "-19 -19 38 38", class: "ring-picture", "aria-hidden": "true" },
    s("circle", {
      r: radius,
      fill: GROUND.sheet,
      stroke: paint(PALETTE.to_prune),
      "stroke-width": 1.8,
      "stroke-dasharray": `${dash * 0.6} ${dash * 0.4}`,
    }),
    share <= 0
      ? null
      : s("circle", {
          r: radius,
          fill: "none",
          stroke: paint(PALETTE.pruned),
          "stroke-width": radius * 0.34,
          transform: "rotate(-90)",
          "stroke-dasharray": `${around * Math.min(share, 1)} ${around}`,
        }),
    verdict === "not_begun" ? null : sign(legend.piths[verdict], radius / 17),
    ...(again > 0 ? againTicks(radius) : []),
    weak > 0 ? weakSquare() : null,
  );
}

function pattern(id: string, width: number, height: number, ...content: SVGElement[]): SVGPatternElement {
  const box = { x: 0, y: -height / 2, width, height, viewBox: `0 ${-height / 2} ${width} ${height}` };
  return s("pattern", { id, patternUnits: "userSpaceOnUse", ...box }, ...content);
}

/** Return the patterns that strips are filled with; put into the page once. */
export function stripPatterns(): SVGSVGElement {
  const { to_prune: twig, again } = LINES;
  const stem = (at: number, rise: number): string => {
    const shoot = at + twig.stem_px * 0.45;
    return `M${at} 0H${at + twig.stem_px}M${shoot} 0l${twig.shoot_px * 0.9} ${rise}`;
  };
  const line = { fill: "none", "stroke-linecap": "round" };
  const twigs = s("path", {
    ...line,
    d: stem(0.5, -twig.shoot_px) + stem(0.5 + twig.period_px, twig.shoot_px),
    stroke: paint(twig.colour),
    "stroke-width": twig.width * legend.weight_px,
    transform: `scale(${SCALE})`,
  });
  const ticks = s("path", {
    ...line,
    d: `M${again.period_px / 2 - 2.5} ${again.shoot_px}l5 ${-2 * again.shoot_px}`,
    stroke: paint(again.colour),
    "stroke-width": 1.7,
    transform: `scale(${SCALE})`,
  });
  return s(
    "svg",
    { class: "patterns", width: 0, height: 0, "aria-hidden": "true" },
    pattern("strip-twig", 2 * twig.period_px * SCALE, 32, twigs),
    pattern("strip-ticks", again.period_px * SCALE, 32, ticks),
  );
}
