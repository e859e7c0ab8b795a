/** The plan of the file: the chosen block large with its rows, its neighbours around; two clicks give row 1. */

import type { Lonlat } from "../../core/contracts";
import { isComplete, type Draft } from "../../core/drafts";
import type { Preview } from "../../core/import-contracts";
import type { FirstRow } from "../../core/planting";
import { IMPORT } from "../../core/set-up-wording";
import { planView } from "../../ui/plan-view";

export interface FilePlan {
  box: HTMLElement;
  draw(chosen: Draft | null): void;
  look(lonlats: readonly (readonly number[])[]): void;
  pick(picking: boolean): void;
  /** What the reader should click now, or nothing. */
  text(): string;
}
export interface PlanHears {
  chosen(draft: Draft): void;
  firstRow(points: FirstRow): void;
}

/** Return the plan. */
export function filePlan(preview: Preview, hears: PlanHears, drafts: readonly Draft[]): FilePlan {
  let picked: Lonlat | null = null;
  let picking = false;
  let last: Draft | null = null;
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
          label: draft === undefined || isChosen ? "" : draft.code,
          chosen: isChosen,
          faded: draft !== undefined && !draft.take,
        };
      }),
      rows: chosen !== null && isComplete(chosen) ? (chosen.planned?.lines ?? []) : [],
      points: [...points, ...(chosen?.firstRow ?? [])],
    });
  };
  return {
    box: view.box,
    draw,
    look: view.look,
    pick,
    text: () => (!picking ? "" : picked === null ? IMPORT.firstPoint : IMPORT.secondPoint),
  };
}
