/** The weak areas of the farm, how easily one is told, and the map beside them. */

import { measure } from "../../core/numbers";
import type { FarmWeakAreas, WeakArea } from "../../core/quality-contracts";
import { WEAK } from "../../core/quality-areas-wording";
import { h } from "../../ui/dom";
import { radioGroup } from "../../ui/field";
import type { Context } from "../context";
import { ofOneBlock, readingPart, type Desk, type Part } from "./desk";
import { areaCard } from "./weak-card";

function mapFrame({ farm }: Context, block: string): HTMLIFrameElement {
  const query = new URLSearchParams({ farm: farm.id, day: farm.today, embedded: "true", layer: "quality", block });
  return h("iframe", { class: "area-map", title: WEAK.map, src: `/map?${query.toString()}` });
}

function levelChoice({ sensitivity, level }: FarmWeakAreas, changed: (level: number) => void): HTMLElement | null {
  if (sensitivity.length === 0) return null;
  const choices = sensitivity.map(({ level: one, areas }) => ({
    value: String(one),
    label: `${measure(100 * one)} %: ${WEAK.areas(areas)}`,
  }));
  const words = sensitivity.find(({ level: one }) => one === level)?.words ?? "";
  return h(
    "section",
    { class: "area-level" },
    radioGroup(WEAK.level, choices, String(level), (value) => changed(Number(value))).box,
    h("p", { class: "quality-hint" }, words === "" ? WEAK.levelSays(level) : words),
  );
}

function areaList(areas: readonly WeakArea[], desk: Desk, again: () => Promise<void>): HTMLElement {
  const map = mapFrame(desk.context, areas[0]?.block_id ?? "");
  const cards = areas.map((area) =>
    areaCard(area, desk, again, () => {
      // the map is told where to look, as it lets the page around it
      map.contentWindow?.postMessage({ orchardmap: "go to block", block: area.block_id }, location.origin);
      map.scrollIntoView({ block: "nearest" });
    }),
  );
  return h("div", { class: "areas" }, h("div", {}, ...cards), h("div", { class: "area-map-place" }, map));
}

/** Show the part. */
export const showWeakAreas: Part = (root, desk) => {
  const { api, context } = desk;
  let level: number | undefined;
  return readingPart(
    root,
    () => {
      const { id, today } = context.farm;
      return Promise.all([api.weakAreas(id, level === undefined ? {} : { level }), context.api.overview(id, today)]);
    },
    ([told, overview], again) => {
      const { block } = context.place;
      const areas = told.areas.filter(({ block_id }) => block === null || block_id === block);
      const changed = (to: number): void => {
        level = to;
        void again();
      };
      return {
        cursor: overview.cursor,
        content: [
          h("p", { class: "quality-lead" }, WEAK.lead),
          ofOneBlock(desk, "weak", overview.blocks),
          levelChoice(told, changed),
          areas.length === 0 ? h("p", {}, WEAK.none) : areaList(areas, desk, again),
        ],
      };
    },
  );
};
