/**
 * The row of an overlap, drawn lengthwise: each crew's claim in its own half and its own line form, side by side.
 *
 * First crew: solid bar, above the row. Second crew: hollow bar, below it. A third: a bar of slanting strokes, below that.
 * What is not credited shrinks to a thin line once a choice is made.
 */

import { claimOf, windowOf, type Credit, type Overlap } from "../../core/matters";
import type { Stretch } from "../../core/coverage";
import { fill, h, s } from "../../ui/dom";

const LANE_PX = 34;
const BAR_PX = 14;
const THIN_PX = 3;
const SLANT_PX = 9;

/** Colours of the legend, by day and by night. */
const COLOUR = { pruned: "var(--pruned)", ink: "var(--ink)", sheet: "var(--sheet)", again: "var(--again)" } as const;

type Form = "solid" | "hollow" | "slanting";
const FORMS: readonly Form[] = ["solid", "hollow", "slanting"];

export interface OverlapPicture {
  box: HTMLElement;
  /** Draw what a choice credits; null while nothing is chosen. */
  draw(credits: readonly Credit[] | null): void;
}

/** Return the slanting strokes that fill a bar of `width` pixels at most; cut off by the frame around them. */
function strokes(): SVGPatternElement {
  return s(
    "pattern",
    { id: "claim-slanting", patternUnits: "userSpaceOnUse", width: SLANT_PX, height: BAR_PX, y: -BAR_PX / 2 },
    s("path", { d: `M-2 ${BAR_PX + 2}L${SLANT_PX - 2} -2`, stroke: COLOUR.pruned, "stroke-width": 4 }),
  );
}

function bar(form: Form, credited: boolean): SVGElement[] {
  if (!credited) {
    return [s("rect", { x: 0, y: -THIN_PX / 2, width: "100%", height: THIN_PX, fill: COLOUR.ink })];
  }
  const frame = { x: 0, y: -BAR_PX / 2, width: "100%", height: BAR_PX, stroke: COLOUR.pruned, "stroke-width": 3 };
  switch (form) {
    case "solid":
      return [s("rect", { ...frame, fill: COLOUR.pruned })];
    case "hollow":
      return [s("rect", { ...frame, fill: COLOUR.sheet })];
    case "slanting":
      return [s("rect", { ...frame, fill: "url(#claim-slanting)", "stroke-width": 1 })];
    default:
      return form satisfies never;
  }
}

function formOf(index: number): Form {
  return FORMS[Math.min(index, FORMS.length - 1)] ?? "slanting";
}

/** Return a short piece of a crew's line form, for lists and buttons. */
export function claimSign(index: number): SVGSVGElement {
  const middle = { x: 2, y: "50%", width: 32, height: 1, overflow: "visible" };
  return s("svg", { class: "claim-sign", "aria-hidden": "true" }, s("svg", middle, ...bar(formOf(index), true)));
}

interface Scale {
  x(position: number): string;
  width(stretch: Stretch): string;
}

function scaleOf(whole: Stretch): Scale {
  const positions = whole.last - whole.first + 1;
  return {
    x: (position) => `${(100 * (position - whole.first)) / positions}%`,
    width: ({ first, last }) => `${(100 * (last - first + 1)) / positions}%`,
  };
}

function piece(stretch: Stretch, lane: number, scale: Scale, parts: readonly SVGElement[]): SVGSVGElement {
  const y = LANE_PX * (lane + 0.5);
  return s("svg", { x: scale.x(stretch.first), y, width: scale.width(stretch), height: 1, overflow: "visible" }, ...parts);
}

/** Return a claim cut at the edges of what is contested and of what is credited, each part with whether it is credited. */
function cut(claim: Stretch, crewId: string, credits: readonly Credit[]): (Stretch & { credited: boolean })[] {
  const edges = credits.flatMap(({ first, last }) => [first, last + 1]).filter((at) => at > claim.first && at <= claim.last);
  const starts = [...new Set([claim.first, ...edges])].sort((a, b) => a - b);
  return starts.map((first, index) => {
    const over = credits.find((credit) => first >= credit.first && first <= credit.last);
    // outside of what is contested nothing is decided here: it stays the crew's own
    return { first, last: (starts[index + 1] ?? claim.last + 1) - 1, credited: over === undefined || over.crewId === crewId };
  });
}

/** Return the picture; it says nothing to those who hear the page, for the claims stand in words beside it. */
export function overlapPicture(overlap: Overlap): OverlapPicture {
  const whole = windowOf(overlap);
  const scale = scaleOf(whole);
  const lanes = overlap.crews.length;
  const height = LANE_PX * lanes;
  const drawing = s("svg", { class: "claim-drawing", height, "aria-hidden": "true" });
  const names = overlap.crews.map((crew) => h("span", { class: "claim-name" }, crew.name));
  const edge = (at: number, dash: string | null): SVGElement =>
    s("line", { x1: scale.x(at), x2: scale.x(at), y1: 0, y2: height, stroke: COLOUR.again, "stroke-width": 3, "stroke-dasharray": dash });
  const number = (position: number, at: number, anchor: string): SVGElement =>
    s("text", { x: scale.x(at), y: 20, "text-anchor": anchor, fill: COLOUR.ink }, String(position));
  const numbers = s("svg", { class: "claim-numbers", height: 26, "aria-hidden": "true" });
  const draw = (credits: readonly Credit[] | null): void => {
    const claims = overlap.crews.flatMap((crew, lane) =>
      claimOf(overlap, crew.id).flatMap((claim) =>
        cut(claim, crew.id, credits ?? []).map((part) => piece(part, lane, scale, bar(formOf(lane), part.credited))),
      ),
    );
    const split = credits !== null && credits.length > 1 ? (credits[1]?.first ?? null) : null;
    fill(
      drawing,
      s("defs", {}, strokes()),
      s("rect", {
        x: scale.x(overlap.first), y: 0, width: scale.width(overlap), height, fill: COLOUR.sheet,
      }),
      s("line", { x1: 0, x2: "100%", y1: height / 2, y2: height / 2, stroke: COLOUR.ink, "stroke-width": 1 }),
      ...claims,
      edge(overlap.first, null),
      edge(overlap.last + 1, null),
      split === null ? null : edge(split, "5 4"),
    );
    fill(
      numbers,
      whole.first < overlap.first - 2 ? number(whole.first, whole.first, "start") : null,
      number(overlap.first, overlap.first, "start"),
      split === null || split <= overlap.first + 2 || split >= overlap.last - 2 ? null : number(split, split, "start"),
      overlap.last === overlap.first ? null : number(overlap.last, overlap.last + 1, "end"),
      whole.last > overlap.last + 2 ? number(whole.last, whole.last + 1, "end") : null,
    );
  };
  draw(null);
  return { box: h("div", { class: "claim-picture" }, h("div", { class: "claim-names" }, ...names), drawing, numbers), draw };
}
