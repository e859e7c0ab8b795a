/** The overview: three figures in words, the map, what needs the manager, the blocks. */

import type { Overview } from "../../core/contracts";
import { language } from "../../core/language";
import { roleAt } from "../../core/who";
import { OVERVIEW } from "../../core/overview-wording";
import { SHELL } from "../../core/wording";
import { sentence } from "../../data/request";
import { fill, h } from "../../ui/dom";
import { dayField } from "../../ui/field";
import { emptyState, notice } from "../../ui/notice";
import type { Context, Screen } from "../context";
import { blocksTable } from "./blocks-table";
import { figures } from "./figures";
import { tellFinish } from "./finish-figure";
import { needsYou } from "./needs-you";
import "./overview.css";

function mapFrame(context: Context, day: string): HTMLElement {
  const query = new URLSearchParams({ farm: context.farm.id, day, lang: language(), embedded: "true" });
  return h("iframe", { class: "map-frame", title: OVERVIEW.map, src: `/map?${query.toString()}` });
}

/** Show the overview. */
export const showOverview: Screen = (root, context) => {
  let drawn: Overview | null = null;
  let day = context.farm.today;
  let left = false;
  const body = h("div", { class: "overview-body" }, h("p", {}, SHELL.loading));
  const newer = h("div", { class: "newer", role: "status" });
  const said = notice();
  const asOf = dayField(OVERVIEW.day, day, { max: context.farm.today });
  asOf.input.addEventListener("change", () => {
    const wanted = asOf.input.value;
    // max bounds the picker, not what is typed
    asOf.complain(wanted > context.farm.today ? OVERVIEW.notYet : "");
    if (wanted === "" || wanted > context.farm.today) return;
    day = wanted;
    // the figures below are still another day's
    fill(newer, SHELL.loading);
    void read();
  });

  /** Let the field say of which day the figures are. */
  const backTo = (shown: string): void => {
    day = shown;
    asOf.input.value = shown;
    asOf.input.dispatchEvent(new Event("input"));
  };
  const draw = (overview: Overview): void => {
    const { season } = context.farm;
    if (overview.blocks.length === 0) {
      const go = (): void => context.go({ screen: "set-up", block: null });
      fill(body, emptyState(OVERVIEW.noBlocks, { label: OVERVIEW.toSetUp, run: go }));
      return;
    }
    fill(
      body,
      figures(overview.figures, season, asOf.box, (words) => void tellFinish(words, overview.day, context)),
      h(
        "div",
        { class: "map-and-blocks" },
        mapFrame(context, day),
        h(
          "div",
          { class: "beside-map" },
          // what waits there, only a manager can answer
          roleAt(context.who, context.farm.id) === "manager" ? needsYou(overview, context) : null,
          blocksTable(overview.blocks, context),
        ),
      ),
    );
  };
  const read = async (): Promise<void> => {
    const asked = day;
    try {
      const overview = await context.api.overview(context.farm.id, asked);
      if (left || asked !== day) return;
      drawn = overview;
      fill(newer);
      said.say("");
      draw(overview);
    } catch (error) {
      if (left || asked !== day) return;
      fill(newer);
      if (drawn === null) fill(body);
      else backTo(drawn.day);
      said.say(sentence(error, SHELL.noAnswer), "bad");
    }
  };

  fill(
    root,
    h("h1", { class: "unseen" }, OVERVIEW.title),
    newer,
    said.box,
    body,
  );
  void read();
  return {
    cursor: () => drawn?.cursor ?? null,
    newer(records) {
      if (records === 0) {
        void read();
        return;
      }
      // the map is not drawn again under the reader's hand: she says when
      fill(
        newer,
        h("span", {}, OVERVIEW.newer(records)),
        h("button", { type: "button", on: { click: () => void read() } }, OVERVIEW.drawAgain),
      );
    },
    leave() {
      left = true;
    },
  };
};
