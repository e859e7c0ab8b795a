/** The plan of the file: the chosen block large with its rows, its neighbours around; two clicks give row 1. */

import type { Lonlat } from "../../core/contracts";
import { draftGeometries, isComplete, type Draft } from "../../core/drafts";
import type { Preview } from "../../core/import-contracts";
import { vertices, type PlanFrame } from "../../core/plan-frame";
import type { FirstRow } from "../../core/planting";
import { IMPORT } from "../../core/set-up-wording";
import { s } from "../../ui/dom";
import { planView } from "../../ui/plan-view";

export interface FilePlan {
  box: HTMLElement;
  draw(chosen: Draft | null): void;
  look(lonlats: readonly (readonly number[])[]): void;
  /** Show where all blocks of the file lie. */
  lookAtAll(): void;
  pick(picking: boolean): void;
  /** What the reader should click now, or nothing. */
  text(): string;
}
export interface PlanHears {
  chosen(draft: Draft): void;
  firstRow(points: FirstRow): void;
}

/** An outline smaller than this share of the plan is shown by a dot, too. */
const SMALL = 0.03;

/** Return a dot to touch for each block that is too small to be seen; a touch picks it. */
function dots(frame: PlanFrame, drafts: readonly Draft[], chosen: Draft | null, pick: (draft: Draft) => void): SVGElement[] {
  const span = (values: readonly number[]): [middle: number, length: number] => {
    const [low, high] = [Math.min(...values), Math.max(...values)];
    return [(low + high) / 2, high - low];
  };
  // the chosen one, which is larger, lies below its neighbours
  return [...drafts].sort((one, two) => Number(two === chosen) - Number(one === chosen)).flatMap((draft) => {
    const points = draftGeometries(draft).flatMap(vertices).map(frame.toXy_m);
    if (points.length === 0) return [];
    const [[x, wide], [y, high]] = [span(points.map(([one]) => one)), span(points.map(([, two]) => two))];
    if (Math.max(wide, high) > SMALL * Math.max(frame.width_m, frame.height_m)) return [];
    const state = `${draft === chosen ? " chosen" : ""}${draft.take ? "" : " faded"}`;
    return [s("path", { d: `M${x} ${y}h0`, class: `plan-dot${state}`, on: { click: () => pick(draft) } })];
  });
}

/** Return the plan. */
export function filePlan(preview: Preview, hears: PlanHears, drafts: readonly Draft[]): FilePlan {
  let picked: Lonlat | null = null;
  let picking = false;
  let last: Draft | null = null;
  let whole = false;
  const view = planView(
    {
      label: IMPORT.plan,
      nearer: IMPORT.nearer,
      farther: IMPORT.farther,
      all: IMPORT.wholeBlock,
      north: IMPORT.north,
      scale: IMPORT.scale,
    },
    {
      chosen(key) {
        const draft = drafts.find((one) => one.feature?.index === key);
        if (draft !== undefined) hears.chosen(draft);
      },
      picked(lonlat) {
        if (picked === null) {
          picked = lonlat;
          draw(last);
          return;
        }
        const points: FirstRow = [picked, lonlat];
        pick(false);
        hears.firstRow(points);
      },
    },
  );
  const pick = (now: boolean): void => {
    picking = now;
    picked = null;
    view.setPicking(now);
  };
  const draw = (chosen: Draft | null): void => {
    if (chosen !== last) pick(false);
    last = chosen;
    const byIndex = new Map(drafts.flatMap((draft) => (draft.feature === null ? [] : [[draft.feature.index, draft] as const])));
    const points = picked === null ? [] : [picked];
    view.draw({
      features: preview.features.map((feature) => {
        const draft = byIndex.get(feature.index);
        const isChosen = draft !== undefined && draft === chosen;
        return {
          key: feature.index,
          geometry: feature.geometry,
          label: draft === undefined || (isChosen && !whole) ? "" : draft.code,
          chosen: isChosen,
          faded: draft !== undefined && !draft.take,
          above: whole,
        };
      }),
      ...(whole ? { over: (frame) => dots(frame, drafts, chosen, hears.chosen) } : {}),
      rows: chosen !== null && isComplete(chosen) && !whole ? (chosen.planned?.lines ?? []) : [],
      points: [...points, ...(chosen?.firstRow ?? [])],
    });
  };
  return {
    box: view.box,
    draw,
    look(lonlats) {
      whole = false;
      view.look(lonlats);
    },
    lookAtAll() {
      whole = true;
      pick(false);
      draw(last);
      view.look(preview.features.map(({ geometry }) => geometry).flatMap(vertices));
    },
    pick,
    text: () => (!picking ? "" : picked === null ? IMPORT.firstPoint : IMPORT.secondPoint),
  };
}
