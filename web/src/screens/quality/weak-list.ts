/** The weak areas of the farm, how easily one is told, and the map beside them. */

import { language } from "../../core/language";
import type { FarmWeakAreas, WeakArea } from "../../core/quality-contracts";
import { WEAK } from "../../core/quality-areas-wording";
import { PART_WORD } from "../../core/quality-wording";
import { fill, h } from "../../ui/dom";
import { radioGroup } from "../../ui/field";
import type { Context } from "../context";
import { ofOneBlock, readingPart, type Desk, type Part } from "./desk";
import { paragraphs } from "./signs";
import { areaCard } from "./weak-card";

function mapFrame({ farm }: Context, { block_id, id }: WeakArea): HTMLElement {
  const query = new URLSearchParams({ farm: farm.id, day: farm.today, lang: language(), embedded: "true", layer: "quality", block: block_id, area: id });
  return h("iframe", { class: "area-map", title: WEAK.map, src: `/map?${query.toString()}` });
}

function levelChoice({ sensitivity, level, words }: FarmWeakAreas, changed: (level: number) => void): HTMLElement | null {
  if (sensitivity.length === 0) return null;
  const choices = sensitivity.map(({ level: one, areas }) => ({
    value: String(one),
    label: WEAK.levelChoice(one, areas),
  }));
  const found = new Set(sensitivity.map(({ areas }) => areas));
  const isSame = found.size === 1 && !found.has(0);
  return h(
    "section",
    { class: "area-level" },
    radioGroup(WEAK.level, choices, String(level), (value) => changed(Number(value))).box,
    ...paragraphs([isSame ? WEAK.levelSame : WEAK.levelLead, words], "quality-hint"),
  );
}

function areaList(areas: readonly WeakArea[], desk: Desk): HTMLElement {
  const [first] = areas;
  const map = h("div", { class: "area-map-place" }, first === undefined ? null : mapFrame(desk.context, first));
  const cards = areas.map((area) =>
    areaCard(area, desk, {
      show() {
        // a new frame and not a new address in it: that would be one more step back for the browser
        fill(map, mapFrame(desk.context, area));
        map.scrollIntoView({ block: "nearest" });
      },
    }),
  );
  return h("div", { class: "areas" }, h("div", {}, h("h2", { class: "unseen" }, PART_WORD.weak), ...cards), map);
}

/** Show the part. */
export const showWeakAreas: Part = (root, desk) => {
  const { api, context } = desk;
  let level: number | undefined;
  return readingPart(
    root,
    async () => {
      const { id, today } = context.farm;
      const [told, { cursor, blocks }] = await Promise.all([
        api.weakAreas(id, level === undefined ? {} : { level }),
        context.api.overview(id, today),
      ]);
      return { cursor, told, blocks: blocks.map(({ id: of, code }) => ({ id: of, code })) };
    },
    ({ told, blocks }, again) => {
      const { block } = context.place;
      const areas = told.areas.filter(({ block_id }) => block === null || block_id === block);
      const changed = (to: number): void => {
        level = to;
        void again();
      };
      return [
        h("p", { class: "quality-lead" }, WEAK.lead),
        ofOneBlock(desk, "weak", blocks),
        // nothing to choose, and nothing to say of areas, where no block could be looked at
        ...(told.looked_at === 0
          ? paragraphs([told.words])
          : [levelChoice(told, changed), areas.length === 0 ? h("p", {}, WEAK.none) : areaList(areas, desk)]),
      ];
    },
  );
};
