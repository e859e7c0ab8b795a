/** The plan of the block that is edited: rows to tap, ends of the chosen one to drag, its positions, and points that are asked for. */

import type { Lonlat } from "../../core/contracts";
import type { BlockGround, GroundRow } from "../../core/ground-contracts";
import { placeAt, positionLonlats } from "../../core/ground-rows";
import { GROUND } from "../../core/ground-wording";
import { vertices, type PlanFrame } from "../../core/plan-frame";
import { IMPORT } from "../../core/set-up-wording";
import type { TileSource } from "../../core/tiles";
import type { FarmBlock } from "../../data/ground-api";
import { s } from "../../ui/dom";
import { planView } from "../../ui/plan-view";

export interface GroundPlan {
  box: HTMLElement;
  /** `beside` are blocks that the edits would make. */
  draw(ground: BlockGround | null, chosen: ReadonlySet<number>, beside?: readonly BlockGround[]): void;
  /** Show the whole block. */
  look(): void;
  lookAt(lonlats: readonly (readonly number[])[]): void;
  /** Ask for points: each tap is heard until `stop`. */
  pick(heard: (point: Lonlat) => void): void;
  stop(): void;
  /** Points and the line between them, while they are picked. */
  sketch(points: readonly Lonlat[], isRing?: boolean): void;
}
export interface GroundPlanHears {
  chosen(row: number): void;
  moved(row: number, parts: Lonlat[][]): void;
}

function path(points: readonly Lonlat[], frame: PlanFrame): string {
  return points.map((point, at) => `${at === 0 ? "M" : "L"}${frame.toXy_m(point).join(" ")}`).join("");
}

/** Return the plan. `others` are the farm's blocks, drawn faintly around. */
export function groundPlan(others: readonly FarmBlock[], own: string | null, hears: GroundPlanHears, tiles: TileSource | null): GroundPlan {
  let ground: BlockGround | null = null;
  let made: readonly BlockGround[] = [];
  let chosen: ReadonlySet<number> = new Set();
  let heard: ((point: Lonlat) => void) | null = null;
  let sketched: { points: readonly Lonlat[]; isRing: boolean } = { points: [], isRing: false };
  /** The ends of a row that is being dragged. */
  let dragged: { row: number; parts: Lonlat[][] } | null = null;

  const view = planView(
    { label: GROUND.plan, nearer: IMPORT.nearer, farther: IMPORT.farther, all: GROUND.wholeBlock, north: IMPORT.north, scale: IMPORT.scale },
    { picked: (point) => heard?.(point), chosen: () => undefined },
    tiles,
  );

  // the first and the last number tell how the others run
  const isOuter = (row: GroundRow): boolean => row === ground?.rows[0] || row === ground?.rows.at(-1);
  const rowShapes = (row: GroundRow, frame: PlanFrame): SVGElement[] => {
    const parts = dragged?.row === row.number ? dragged.parts : row.parts;
    const d = parts.map((part) => path(part, frame)).join("");
    const click = (): void => {
      if (heard === null) hears.chosen(row.number);
    };
    const isChosen = chosen.has(row.number);
    const state = `${isChosen ? " chosen" : ""}${row.marks + row.others > 0 ? " worked" : ""}`;
    const [first] = parts[0] ?? [];
    const [x, y] = first === undefined ? [0, 0] : frame.toXy_m(first);
    const label = (isChosen || isOuter(row)) && first !== undefined ? [s("text", { x, y, class: "plan-label ground-number" }, String(row.number))] : [];
    return [s("path", { d, class: `ground-row${state}` }), s("path", { d, class: "ground-touch", on: { click } }), ...label];
  };
  const places = (row: GroundRow, frame: PlanFrame): SVGElement[] =>
    positionLonlats(row).map((lonlat, at) => s("path", { d: `M${frame.toXy_m(lonlat).join(" ")}h0`, class: `ground-place ${placeAt(row, at + 1)}` }));
  const handle = (row: GroundRow, end: "first" | "last", frame: PlanFrame): SVGElement | null => {
    const parts = dragged?.row === row.number ? dragged.parts : row.parts;
    const tip = end === "first" ? parts[0]?.[0] : parts.at(-1)?.at(-1);
    if (tip === undefined) return null;
    const down = (event: PointerEvent): void => {
      if (heard !== null) return;
      event.stopPropagation();
      event.preventDefault();
      follow(row, end);
    };
    return s("path", { d: `M${frame.toXy_m(tip).join(" ")}h0`, class: `ground-end ${end}`, on: { pointerdown: down } });
  };
  const follow = (row: GroundRow, end: "first" | "last"): void => {
    const move = (event: PointerEvent): void => {
      const at = view.placeOf(event);
      if (at === null) return;
      const parts = row.parts.map((part) => [...part]);
      const part = end === "first" ? parts[0] : parts.at(-1);
      if (part === undefined) return;
      part[end === "first" ? 0 : part.length - 1] = at;
      dragged = { row: row.number, parts };
      redraw();
    };
    const let_go = (): void => {
      window.removeEventListener("pointermove", move);
      window.removeEventListener("pointerup", let_go);
      window.removeEventListener("pointercancel", let_go);
      const done = dragged;
      dragged = null;
      if (done !== null) hears.moved(done.row, done.parts);
    };
    window.addEventListener("pointermove", move);
    window.addEventListener("pointerup", let_go);
    window.addEventListener("pointercancel", let_go);
  };
  const over = (frame: PlanFrame): SVGElement[] => {
    const all = ground?.rows ?? [];
    const [only] = chosen.size === 1 ? all.filter(({ number }) => chosen.has(number)) : [];
    const ends = only === undefined ? [] : [handle(only, "first", frame), handle(only, "last", frame)];
    const { points, isRing } = sketched;
    const line = points.length < 2 ? [] : [s("path", { d: `${path(points, frame)}${isRing ? "Z" : ""}`, class: "ground-sketch" })];
    const madeRows = made.flatMap(({ rows }) => rows.map(({ parts }) => s("path", { d: parts.map((part) => path(part, frame)).join(""), class: "ground-row made" })));
    return [
      ...madeRows,
      // the chosen ones last, so that they lie over their neighbours
      ...all.filter(({ number }) => !chosen.has(number)).flatMap((row) => rowShapes(row, frame)),
      ...all.filter(({ number }) => chosen.has(number)).flatMap((row) => rowShapes(row, frame)),
      ...(only === undefined ? [] : places(only, frame)),
      ...ends.filter((end) => end !== null),
      ...line,
    ];
  };
  const redraw = (): void =>
    view.draw({
      features: [
        ...others
          .filter(({ id }) => id !== own)
          .map(({ geometry, code }, key) => ({ key: key + 1, geometry, label: code, chosen: false, faded: true })),
        ...made.map(({ outline, code }, key) => ({ key: -key - 1, geometry: outline, label: code, chosen: false, faded: false })),
        { key: 0, geometry: ground?.outline ?? null, label: "", chosen: true, faded: false },
      ],
      rows: [],
      points: sketched.points,
      over,
    });
  return {
    box: view.box,
    draw(now, rows, beside = []) {
      ground = now;
      made = beside;
      chosen = rows;
      redraw();
    },
    look() {
      view.look([...vertices(ground?.outline ?? null), ...(ground?.rows ?? []).flatMap(({ parts }) => parts.flat())]);
    },
    lookAt: view.look,
    pick(tell) {
      heard = tell;
      view.setPicking(true);
    },
    stop() {
      heard = null;
      sketched = { points: [], isRing: false };
      view.setPicking(false);
      redraw();
    },
    sketch(points, isRing = false) {
      sketched = { points, isRing };
      redraw();
    },
  };
}
