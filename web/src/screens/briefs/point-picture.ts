/** A point's drawing with its limits in it, as the card shows it. */

import type { Point } from "../../core/brief-contracts";
import { language } from "../../core/language";
import { pictureAddress } from "../../data/briefs-api";
import { h } from "../../ui/dom";

/** Return the drawing. `alt` says what it shows; empty where the words stand beside it. */
export function pointPicture(point: Pick<Point, "picture" | "low" | "high">, alt = ""): HTMLImageElement {
  return h("img", { class: "point-picture", src: pictureAddress(point, language()), alt, loading: "lazy", width: 96, height: 96 });
}
