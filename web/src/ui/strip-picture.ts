/** A row drawn as a strip with the lines of the legend, at a scale that all rows of a block share. */

import type { Piece } from "../core/coverage";
import { edgeShare } from "../core/strip";
import { fill, s } from "./dom";
import { GROUND, LINES, paint, placeSign, WEIGHT_PX } from "./legend-signs";

const MIDDLE = "50%";

function bar(height: number, painted: string): SVGRectElement {
  return s("rect", { x: 0, y: -height / 2, width: "100%", height, fill: painted });
}

/** Return a piece's frame: an svg of its own, so that patterns begin where the piece begins. */
function frame(piece: { first: number; last: number }, longest: number, ...content: SVGElement[]): SVGSVGElement {
  return s(
    "svg",
    {
      x: `${100 * edgeShare(piece.first, longest)}%`,
      y: MIDDLE,
      width: `${(100 * (piece.last + 1 - piece.first)) / longest}%`,
      height: 1,
      overflow: "visible",
    },
    ...content,
  );
}

function drawn(piece: Piece, longest: number): SVGElement[] {
  switch (piece.kind) {
    case "blank":
    case "pollinizer": {
      const place = piece.kind;
      return Array.from({ length: piece.last - piece.first + 1 }, (_, index) =>
        atPosition(placeSign(place), piece.first + index, longest),
      );
    }
    case "left":
      return [frame(piece, longest, bar(32, "url(#strip-twig)"))];
    case "pruned":
      return [frame(piece, longest, bar(WEIGHT_PX, paint(LINES.pruned.colour)))];
    case "overlap": {
      const thick = LINES.overlap.width * WEIGHT_PX;
      const rails = bar(thick, paint(LINES.overlap.colour));
      const ends = ["0", "100%"].map((x) =>
        s("line", { x1: x, x2: x, y1: -thick * 0.73, y2: thick * 0.73, stroke: paint(LINES.overlap.colour), "stroke-width": 3 }),
      );
      return [frame(piece, longest, rails, bar(thick - 6.8, GROUND.paper), ...ends)];
    }
    case "again":
      return [frame(piece, longest, bar(LINES.again.width * WEIGHT_PX, paint(LINES.again.colour)), bar(32, "url(#strip-ticks)"))];
    default:
      return piece.kind satisfies never;
  }
}

export interface StripPicture {
  box: SVGSVGElement;
  draw(pieces: readonly Piece[], extra?: readonly SVGElement[]): void;
}

/** Return an empty strip for rows of at most `longest` positions; `draw` fills it. */
export function stripPicture(longest: number): StripPicture {
  const box = s("svg", { class: "strip-picture", "aria-hidden": "true" });
  return {
    box,
    draw(pieces, extra = []) {
      fill(box, ...pieces.flatMap((piece) => drawn(piece, longest)), ...extra);
    },
  };
}

/** Return `sign` moved to the middle of a position on a strip. */
export function atPosition(sign: SVGElement, position: number, longest: number): SVGSVGElement {
  const x = `${100 * edgeShare(position + 0.5, longest)}%`;
  return s("svg", { x, y: MIDDLE, overflow: "visible", width: 1, height: 1 }, sign);
}
