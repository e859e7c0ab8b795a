/** A plan of a few blocks: outlines, rows, where row 1 and its first end are; a click can give a point. */

import type { Lonlat } from "../core/contracts";
import type { Geometry } from "../core/import-contracts";
import { tilesUnder, type TileSource } from "../core/tiles";
import { planFrame, vertices, type PlanFrame } from "../core/plan-frame";
import { fill, h, s } from "./dom";
import { panAndPinch } from "./pan-and-pinch";

export interface PlanFeature {
  key: number;
  geometry: Geometry | null;
  label: string;
  chosen: boolean;
  faded: boolean;
  /** The label stands above the middle, which something else marks. */
  above?: boolean;
}
export interface PlanDrawing {
  features: readonly PlanFeature[];
  /** Row lines of the chosen block, in row order. */
  rows: readonly (readonly number[][])[];
  points: readonly Lonlat[];
  /** What else is drawn over it. */
  over?: (frame: PlanFrame) => readonly SVGElement[];
}
export interface PlanView {
  box: HTMLElement;
  draw(drawing: PlanDrawing): void;
  /** Show what lies around these vertices. */
  look(lonlats: readonly (readonly number[])[]): void;
  setPicking(picking: boolean): void;
  /** Return the place of a pointer on the picture. */
  placeOf(event: MouseEvent): Lonlat | null;
}
export interface PlanHears {
  picked(lonlat: Lonlat): void;
  chosen(key: number): void;
}
export interface PlanWords {
  label: string;
  nearer: string;
  farther: string;
  all: string;
  north: string;
  scale(metres: number): string;
}

const MARGIN = 0.12;
/** What the buttons at the right edge cover. */
const TOOLS_PX = 80;
const LABEL_PX = 16;
/** Width of a letter, as a share of its size. */
const LETTER = 0.7;
/** Tiles are asked for once the picture rests. */
const CALM_MS = 150;

/** Labels that would lie upon an earlier one are hidden until there is room. */
function hideCrowdedLabels(picture: SVGSVGElement, perPx: number): void {
  const shown: { x: number; y: number; half: number }[] = [];
  for (const label of picture.querySelectorAll<SVGTextElement>(".plan-label")) {
    const [x, y] = [Number(label.getAttribute("x")) / perPx, Number(label.getAttribute("y")) / perPx];
    const half = (LABEL_PX * LETTER * (label.textContent?.length ?? 0)) / 2;
    const crowded = shown.some((one) => Math.abs(one.x - x) < one.half + half && Math.abs(one.y - y) < LABEL_PX);
    label.style.visibility = crowded ? "hidden" : "visible";
    if (!crowded) shown.push({ x, y, half });
  }
}

function ringsPath(geometry: Geometry, frame: PlanFrame): string {
  const ring = (points: number[][]): string =>
    `${points.map((point, index) => `${index === 0 ? "M" : "L"}${frame.toXy_m(point).join(" ")}`).join("")}`;
  switch (geometry.type) {
    case "Polygon":
      return geometry.coordinates.map((points) => `${ring(points)}Z`).join("");
    case "MultiPolygon":
      return geometry.coordinates.flat(1).map((points) => `${ring(points)}Z`).join("");
    case "LineString":
      return ring(geometry.coordinates);
    case "MultiLineString":
      return geometry.coordinates.map(ring).join("");
    case "Point":
    case "MultiPoint":
      return vertices(geometry)
        .map((point) => `M${frame.toXy_m(point).join(" ")}h0`)
        .join("");
    default:
      return geometry satisfies never;
  }
}

/** Return the middle of what holds all points. */
function middle(points: readonly (readonly [number, number])[]): [number, number] {
  const half = (values: readonly number[]): number => (Math.min(...values) + Math.max(...values)) / 2;
  return [half(points.map(([x]) => x)), half(points.map(([, y]) => y))];
}

/** Return the round length that a scale bar of at most `most_m` shows. */
export function roundLength_m(most_m: number): number {
  const power = 10 ** Math.floor(Math.log10(Math.max(most_m, 1e-9)));
  return power * ([5, 2, 1].find((step) => step * power <= most_m) ?? 1);
}

/** Return a plan; `hears` is told of points and blocks that are clicked. Over tiles where there are any, else on plain paper. */
export function planView(words: PlanWords, hears: PlanHears, tiles: TileSource | null = null): PlanView {
  const under = s("g", { class: "plan-tiles", "aria-hidden": "true" });
  let underTimer = 0;
  const picture = s("svg", { class: "plan-picture", role: "img", "aria-label": words.label });
  const scale = h("span", { class: "plan-scale" });
  let frame = planFrame([]);
  let view = { x: 0, y: 0, width: 1, height: 1 };
  let home: readonly (readonly number[])[] = [];
  let drawing: PlanDrawing = { features: [], rows: [], points: [] };
  let picking = false;

  const applyView = (): void => {
    picture.setAttribute("viewBox", `${view.x} ${view.y} ${view.width} ${view.height}`);
    const wide = picture.clientWidth || 600;
    const high = picture.clientHeight || 400;
    const perPx = Math.max(view.width / wide, view.height / high);
    const bar = roundLength_m(perPx * 140);
    scale.style.width = `${bar / perPx}px`;
    scale.textContent = words.scale(bar);
    picture.style.setProperty("--label-size", `${perPx * LABEL_PX}px`);
    hideCrowdedLabels(picture, perPx);
    if (tiles === null) return;
    clearTimeout(underTimer);
    underTimer = window.setTimeout(() => {
      // the picture shows more than the view where it is of another shape
      const [half, mid] = [{ x: (wide * perPx) / 2, y: (high * perPx) / 2 }, { x: view.x + view.width / 2, y: view.y + view.height / 2 }];
      const [northWest, southEast] = [frame.toLonlat([mid.x - half.x, mid.y - half.y]), frame.toLonlat([mid.x + half.x, mid.y + half.y])];
      const images = tilesUnder(tiles, northWest, southEast, wide).map((tile) => {
        const [x, y] = frame.toXy_m(tile.northWest);
        const [right, bottom] = frame.toXy_m(tile.southEast);
        return s("image", { href: tile.href, x, y, width: right - x, height: bottom - y, preserveAspectRatio: "none" });
      });
      fill(under, ...images);
    }, CALM_MS);
  };
  const zoom = (factor: number): void => {
    const [x, y] = [view.x + view.width / 2, view.y + view.height / 2];
    const [width, height] = [view.width * factor, view.height * factor];
    view = { x: x - width / 2, y: y - height / 2, width, height };
    applyView();
  };
  const draw = (): void => {
    const outlines = drawing.features.flatMap((feature) => {
      if (feature.geometry === null) return [];
      const name = `plan-${feature.geometry.type.includes("Polygon") ? "outline" : "line"}`;
      const state = `${feature.chosen ? " chosen" : ""}${feature.faded ? " faded" : ""}`;
      const click = (): void => {
        if (!picking) hears.chosen(feature.key);
      };
      const path = s("path", { d: ringsPath(feature.geometry, frame), class: name + state, on: { click } });
      if (feature.label === "") return [path];
      const [x, y] = middle(vertices(feature.geometry).map(frame.toXy_m));
      return [path, s("text", { x, y, dy: feature.above === true ? "-0.95em" : null, class: "plan-label" }, feature.label)];
    });
    const rows = drawing.rows.map((line, index) =>
      s("path", {
        d: line.map((point, at) => `${at === 0 ? "M" : "L"}${frame.toXy_m(point).join(" ")}`).join(""),
        class: index === 0 ? "plan-row first" : "plan-row",
      }),
    );
    const firstEnd = drawing.rows[0]?.[0];
    const ends = firstEnd === undefined ? [] : [s("path", { d: `M${frame.toXy_m(firstEnd).join(" ")}h0`, class: "plan-first-end" })];
    const points = drawing.points.map((point) => s("path", { d: `M${frame.toXy_m(point).join(" ")}h0`, class: "plan-point" }));
    fill(picture, under, ...outlines, ...rows, ...ends, ...(drawing.over?.(frame) ?? []), ...points);
    applyView();
  };
  const look = (lonlats: readonly (readonly number[])[]): void => {
    home = lonlats;
    frame = planFrame(lonlats);
    const pad = Math.max(frame.width_m, frame.height_m, 10) * MARGIN;
    const [width, height] = [frame.width_m + 2 * pad, frame.height_m + 2 * pad];
    // nothing that is looked at lies under the buttons
    const [wide, high] = [picture.clientWidth || 600, picture.clientHeight || 400];
    const perPx = Math.max(width / wide, height / high);
    const right = (wide * perPx - width) / 2 + pad;
    view = { x: -pad, y: -pad, width: width + 2 * Math.max(0, TOOLS_PX * perPx - right), height };
    draw();
  };
  const pointOf = (x: number, y: number): DOMPoint | null => {
    const matrix = picture.getScreenCTM();
    return matrix === null ? null : new DOMPoint(x, y).matrixTransform(matrix.inverse());
  };
  const placeOf = (event: MouseEvent): Lonlat | null => {
    const at = pointOf(event.clientX, event.clientY);
    return at === null ? null : frame.toLonlat([at.x, at.y]);
  };
  const wasMoved = panAndPinch(picture, {
    moved(dx_px, dy_px) {
      const scale = picture.getScreenCTM()?.a ?? 1;
      view = { ...view, x: view.x - dx_px / scale, y: view.y - dy_px / scale };
      applyView();
    },
    pinched(factor, from, to) {
      const [was, is] = [pointOf(from.x, from.y), pointOf(to.x, to.y)];
      if (was === null || is === null) return;
      const [x, y] = [was.x - (is.x - view.x) * factor, was.y - (is.y - view.y) * factor];
      view = { x, y, width: view.width * factor, height: view.height * factor };
      applyView();
    },
  });
  picture.addEventListener("click", (event) => {
    const lonlat = picking && !wasMoved() ? placeOf(event) : null;
    if (lonlat !== null) hears.picked(lonlat);
  });
  const tool = (text: string, label: string, click: () => void): HTMLElement =>
    h("button", { type: "button", class: "plan-tool", "aria-label": label, on: { click } }, text);
  const tools = h(
    "div",
    { class: "plan-tools" },
    tool("+", words.nearer, () => zoom(1 / 1.6)),
    tool("−", words.farther, () => zoom(1.6)),
    tool("◻", words.all, () => look(home)),
  );
  const north = h("span", { class: "plan-north" }, words.north);
  const credit = tiles === null || tiles.credit === "" ? [] : [h("span", { class: "plan-credit" }, tiles.credit)];
  return {
    box: h("div", { class: "plan" }, picture, tools, north, scale, ...credit),
    draw(fresh) {
      drawing = fresh;
      draw();
    },
    look,
    placeOf,
    setPicking(now) {
      picking = now;
      picture.dataset["picking"] = String(now);
    },
  };
}
