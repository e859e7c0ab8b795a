/** A block drawn by hand: its outline tapped or typed, its spacings, its rows at once, then taken. */

import type { Lonlat } from "../../core/contracts";
import { latLon, outlineOf } from "../../core/corners";
import { changeLines } from "../../core/ground-changes";
import { rows as ofRows, trees as ofTrees } from "../../core/counted";
import type { GroundBody } from "../../core/ground-contracts";
import { GROUND } from "../../core/ground-wording";
import { moved } from "../../core/ground-rows";
import { vertices } from "../../core/plan-frame";
import { IMPORT } from "../../core/set-up-wording";
import type { TileSource } from "../../core/tiles";
import type { FarmBlock, GroundApi } from "../../data/ground-api";
import { fill, h } from "../../ui/dom";
import { choiceField, textField } from "../../ui/field";
import { notice } from "../../ui/notice";
import { freshId, type Context } from "../context";
import { lineItem } from "./change-panel";
import { cornersField } from "./corners-field";
import { groundPlan } from "./ground-plan";
import { plantingFields } from "./planting-fields";
import { smallForm } from "./row-panel";
import { trouble } from "./trouble";

/** How far one sees around a place that was named. */
const AROUND_M = 150;

/** Return the page. */
export function drawBlock({ farm, go }: Context, api: GroundApi, blocks: readonly FarmBlock[], tiles: TileSource | null): HTMLElement {
  const said = notice();
  const block = freshId();
  let id = freshId();
  const plan = groundPlan(blocks, null, { chosen: () => undefined, moved: () => undefined }, tiles);
  const corners = cornersField(plan, () => forget());
  const planting = plantingFields(null, plan);
  const code = textField(IMPORT.code, "", { maxlength: 20 }, IMPORT.codeHint);
  const variety = choiceField(
    IMPORT.variety,
    [{ value: "", label: IMPORT.noVariety }, ...farm.varieties.map((one) => ({ value: one.id, label: one.name }))],
    "",
  );
  const take = h("button", { type: "button", class: "main", disabled: true, on: { click: () => void takeIt() } }, GROUND.take);
  const heed = h("ul", { class: "plain-list ground-changes" });
  const forget = (): void => {
    id = freshId();
    fill(heed);
    take.disabled = true;
  };
  const body = (): GroundBody | null => {
    const found = corners.corners();
    const numbers = planting.planting();
    const named = code.input.value.trim();
    code.complain(named === "" ? IMPORT.mustHaveCode : "");
    if (found === null || numbers === null || named === "") return null;
    const ofVariety = variety.input.value === "" ? {} : { variety_id: variety.input.value };
    return { id, edits: [{ kind: "new-block", block, code: named, name: named, outline: outlineOf(found), planting: numbers, ...ofVariety }] };
  };
  const run = async (step: (body: GroundBody) => Promise<void>): Promise<void> => {
    const made = body();
    if (made === null) return;
    try {
      await step(made);
    } catch (error) {
      said.say(trouble(error), "bad");
    }
  };
  /** What was looked at last: nothing else is taken. */
  let seen = "";
  const tryIt = (): Promise<void> =>
    run(async (made) => {
      seen = JSON.stringify(made.edits);
      const found = await api.preview(farm.id, made);
      const one = found.blocks.find((block_) => block_.id === block);
      plan.draw(one?.ground ?? null, new Set());
      plan.look();
      said.say(GROUND.blockNew(one?.code ?? "", ofRows(one?.after?.rows ?? 0), ofTrees(one?.after?.trees ?? 0)), "good");
      const codeOf = (id: string): string => blocks.find((other) => other.id === id)?.code ?? one?.code ?? "";
      fill(heed, ...changeLines({ ...found, blocks: [], rows: [] }, codeOf).map(lineItem));
      take.disabled = !found.can_be_taken;
    });
  const takeIt = (): Promise<void> =>
    run(async (made) => {
      if (JSON.stringify(made.edits) !== seen) {
        id = freshId();
        return tryIt();
      }
      await api.take(farm.id, made);
      go({ screen: "set-up", block });
    });
  const known = blocks.flatMap(({ geometry }) => vertices(geometry));
  plan.draw(null, new Set());
  if (known.length > 0) plan.lookAt(known);
  return h(
    "div",
    {},
    h("h1", {}, GROUND.drawTitle),
    h("p", {}, GROUND.drawHelp),
    h(
      "div",
      { class: "ground-desk" },
      h("div", { class: "ground-left" }, plan.box),
      h(
        "div",
        { class: "ground-right" },
        known.length > 0 ? null : whereForm((point) => plan.lookAt(around(point)), said.say),
        corners.box,
        code.box,
        variety.box,
        planting.box,
        said.box,
        heed,
        h("div", { class: "line-buttons" }, h("button", { type: "button", on: { click: () => void tryIt() } }, GROUND.drawTry), take),
      ),
    ),
  );
}

function around(point: Lonlat): Lonlat[] {
  return [...moved([point], -AROUND_M, -AROUND_M), ...moved([point], AROUND_M, AROUND_M)];
}

function whereForm(go: (point: Lonlat) => void, say: (text: string, tone?: "bad" | "plain") => void): HTMLElement {
  const field = textField(GROUND.drawWhere, "", {}, GROUND.drawWhereHint);
  const form = smallForm([field], GROUND.drawGo, "draw-go", () => {
    const point = latLon(field.input.value);
    field.complain(point === null ? GROUND.notThere : "");
    if (point !== null) go(point);
  });
  const here = (): void =>
    navigator.geolocation.getCurrentPosition(
      ({ coords }) => {
        field.input.value = `${coords.latitude.toFixed(6)}, ${coords.longitude.toFixed(6)}`;
        go([coords.longitude, coords.latitude]);
      },
      () => say(GROUND.noPlace, "bad"),
    );
  form.append(h("button", { type: "button", on: { click: here } }, GROUND.drawHere));
  return form;
}
