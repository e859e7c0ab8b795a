/** The plan of the block that is edited: rows to tap, ends of the chosen one to drag, its positions, and points that are asked for. */

import type { Lonlat } from "../../core/contracts";
import type { BlockGround, GroundRow } from "../../core/ground-contracts";
import { placeAt, positionLonlats } from "../../core/ground-rows";
import { GROUND } from "../../core/ground-wording";
import { vertices, type PlanFrame } from "../../core/plan-frame";
import { IMPORT } from "../../core/set-up-wording";
import type { TileSource } from "../../core/tiles";
import type { FarmBlock } from "../../data/ground-api";
import { fill, h, s } from "../../ui/dom";
import { planView } from "../../ui/plan-view";

export interface GroundPlan {
  box: HTMLElement;
  /** `beside` are blocks that the edits would make. */
  draw(ground: BlockGround | null, chosen: ReadonlySet<number>, beside?: readonly BlockGround[]): void;
  /** Show the whole block. */
  look(): void;
  lookAt(lonlats: readonly (readonly number[])[]): void;
  /** Ask for points: each tap is heard until `stop`. What was asked for before is given up. */
  pick(asked: Asked): void;
  /** Say what is to be tapped next. */
  ask(words: string, ...buttons: HTMLElement[]): void;
  stop(): void;
  /** Points and the line between them, while they are picked. */
  sketch(points: readonly Lonlat[], isRing?: boolean): void;
}
export interface Asked {
  words: string;
  heard(point: Lonlat): void;
  /** Nothing is asked for any more, and not because of `stop`. */
  givenUp?(): void;
  /** Where the points go: with it the asking ends. */
  from?: HTMLElement;
  buttons?: readonly HTMLElement[];
}
export interface GroundPlanHears {
  chosen(row: number): void;
  moved(row: number, parts: Lonlat[][]): void;
}

/** An end that is dragged by less than this was only touched. */
const STILL_PX = 6;
const LET_GO = ["pointerup", "pointercancel"] as const;

/** Return what of a row lies under the end of another that was only touched. */
function rowUnder({ clientX, clientY }: PointerEvent): Element | undefined {
  return document.elementsFromPoint(clientX, clientY).find((element) => element.classList.contains("ground-touch"));
}

function path(points: readonly Lonlat[], frame: PlanFrame): string {
  return points.map((point, at) => `${at === 0 ? "M" : "L"}${frame.toXy_m(point).join(" ")}`).join("");
}

/** Return the plan. `others` are the farm's blocks, drawn faintly around. */
export function groundPlan(others: readonly FarmBlock[], own: string | null, hears: GroundPlanHears, tiles: TileSource | null): GroundPlan {
  let ground: BlockGround | null = null;
  let made: readonly BlockGround[] = [];
  let chosen: ReadonlySet<number> = new Set();
  let asked: Asked | null = null;
  let sketched: { points: readonly Lonlat[]; isRing: boolean } = { points: [], isRing: false };
  /** The ends of a row that is being dragged. */
  let dragged: { row: number; parts: Lonlat[][] } | null = null;

  const view = planView(
    { label: GROUND.plan, nearer: IMPORT.nearer, farther: IMPORT.farther, all: GROUND.wholeBlock, north: IMPORT.north, scale: IMPORT.scale },
    { picked: (point) => asked?.heard(point), chosen: () => undefined },
    tiles,
  );
  const told = h("p", { role: "status" });
  const tools = h("div", { class: "line-buttons" });
  const box = h("div", { class: "ground-plan" }, view.box, h("div", { class: "ground-asking" }, told, tools));

  // the first and the last number tell how the others run
  const isOuter = (row: GroundRow): boolean => row === ground?.rows[0] || row === ground?.rows.at(-1);
  const rowShapes = (row: GroundRow, frame: PlanFrame): SVGElement[] => {
    const parts = dragged?.row === row.number ? dragged.parts : row.parts;
    const d = parts.map((part) => path(part, frame)).join("");
    const click = (): void => {
      if (asked === null) hears.chosen(row.number);
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
  const handle = (row: GroundRow, end: "first" | "last", frame: PlanFrame): SVGElement[] => {
    const parts = dragged?.row === row.number ? dragged.parts : row.parts;
    const tip = end === "first" ? parts[0]?.[0] : parts.at(-1)?.at(-1);
    if (tip === undefined) return [];
    const down = (event: PointerEvent): void => {
      if (asked !== null) return;
      event.stopPropagation();
      event.preventDefault();
      follow(row, end, event);
    };
    const d = `M${frame.toXy_m(tip).join(" ")}h0`;
    // a finger needs more room than an eye
    return [s("path", { d, class: `ground-end ${end}` }), s("path", { d, class: "ground-grip", "data-end": end, on: { pointerdown: down } })];
  };
  const follow = (row: GroundRow, end: "first" | "last", begun: PointerEvent): void => {
    const move = (event: PointerEvent): void => {
      const at = event.pointerId === begun.pointerId ? view.placeOf(event) : null;
      const far_px = Math.hypot(event.clientX - begun.clientX, event.clientY - begun.clientY);
      if (at === null || (dragged === null && far_px < STILL_PX)) return;
      const parts = row.parts.map((part) => [...part]);
      const part = end === "first" ? parts[0] : parts.at(-1);
      if (part === undefined) return;
      part[end === "first" ? 0 : part.length - 1] = at;
      dragged = { row: row.number, parts };
      redraw();
    };
    const letGo = ({ type, pointerId }: PointerEvent): void => {
      if (pointerId !== begun.pointerId) return;
      window.removeEventListener("pointermove", move);
      for (const name of LET_GO) window.removeEventListener(name, letGo);
      const done = dragged;
      dragged = null;
      if (done !== null && type === "pointerup") hears.moved(done.row, done.parts);
      else redraw();
      if (done === null) rowUnder(begun)?.dispatchEvent(new MouseEvent("click", { bubbles: true }));
    };
    window.addEventListener("pointermove", move);
    for (const name of LET_GO) window.addEventListener(name, letGo);
  };
  const over = (frame: PlanFrame): SVGElement[] => {
    const all = ground?.rows ?? [];
    const [only] = chosen.size === 1 ? all.filter(({ number }) => chosen.has(number)) : [];
    const ends = only === undefined ? [] : [...handle(only, "first", frame), ...handle(only, "last", frame)];
    const { points, isRing } = sketched;
    const line = points.length < 2 ? [] : [s("path", { d: `${path(points, frame)}${isRing ? "Z" : ""}`, class: "ground-sketch" })];
    const madeRows = made.flatMap(({ rows }) => rows.map(({ parts }) => s("path", { d: parts.map((part) => path(part, frame)).join(""), class: "ground-row made" })));
    return [
      ...madeRows,
      // the chosen ones last, so that they lie over their neighbours
      ...all.filter(({ number }) => !chosen.has(number)).flatMap((row) => rowShapes(row, frame)),
      ...all.filter(({ number }) => chosen.has(number)).flatMap((row) => rowShapes(row, frame)),
      ...(only === undefined ? [] : places(only, frame)),
      ...ends,
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
  const end = (): void => {
    asked = null;
    sketched = { points: [], isRing: false };
    fill(tools);
    told.textContent = "";
    view.setPicking(false);
    redraw();
  };
  const giveUp = (): void => {
    const { givenUp } = asked ?? {};
    end();
    givenUp?.();
  };
  const ask = (words: string, ...buttons: HTMLElement[]): void => {
    told.textContent = words;
    fill(tools, ...buttons, h("button", { type: "button", on: { click: giveUp } }, GROUND.stop));
  };
  return {
    box,
    draw(now, rows, beside = []) {
      if (asked?.from?.isConnected === false) giveUp();
      ground = now;
      made = beside;
      chosen = rows;
      redraw();
    },
    look() {
      view.look([...vertices(ground?.outline ?? null), ...(ground?.rows ?? []).flatMap(({ parts }) => parts.flat())]);
    },
    lookAt: view.look,
    pick(what) {
      if (asked !== null) giveUp();
      asked = what;
      view.setPicking(true);
      ask(what.words, ...(what.buttons ?? []));
      box.scrollIntoView({ block: "nearest" }); // on a narrow screen the plan is far above the button
    },
    ask,
    stop: end,
    sketch(points, isRing = false) {
      sketched = { points, isRing };
      redraw();
    },
  };
}
