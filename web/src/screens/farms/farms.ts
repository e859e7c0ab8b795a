/** Farms: those that one adviser or manager has, side by side by variety and week. */

import type { FarmWork } from "../../core/farms-contracts";
import { FARMS } from "../../core/farms-wording";
import { HERE } from "../../core/who-wording";
import { SHELL } from "../../core/wording";
import { readFarms } from "../../data/farms-api";
import { sentence } from "../../data/request";
import { fill, h } from "../../ui/dom";
import { emptyState } from "../../ui/notice";
import type { Screen } from "../context";
import { newsOf } from "../news";
import "./farms.css";
import { standingPart } from "./standing-part";
import { varietiesPart } from "./varieties-part";
import { weeksPart } from "./weeks-part";

/** The stream tells of one farm: the others are asked in turn, so many of them so often. */
const ASK_OTHERS_MS = 1_500;
const ASKED_AT_ONCE = 4;

/** Show the screen. */
export const showFarms: Screen = (root, { api, request, farm, device, who, go }) => {
  const body = h("div", { class: "farms" }, h("p", {}, SHELL.loading));
  /** Up to where each farm is drawn. */
  let cursors = new Map<string, number>();
  let turn = 0;
  let left = false;
  const open = (id: string): void => {
    device.set("farm", id);
    go({ screen: "overview", block: null });
  };
  const told = (farms: readonly FarmWork[]): (HTMLElement | null)[] => [
    h("p", {}, FARMS.lead),
    h("p", { class: "farms-caution" }, FARMS.caution),
    farms.length < 2 ? h("p", {}, h("strong", {}, FARMS.onlyOne)) : null,
    standingPart(farms, open),
    who.makes_farms ? h("p", { class: "farms-another" }, h("button", { type: "button", on: { click: () => go({ screen: "sign-in", block: null }) } }, HERE.anotherFarm)) : null,
    ...(farms.some(({ work }) => work.trees > 0) ? [varietiesPart(farms), weeksPart(farms)] : [h("p", {}, FARMS.nothing)]),
  ];
  const show = async (isUnasked = false): Promise<void> => {
    try {
      const { farms } = await readFarms(request);
      if (left) return;
      news.draw(() => {
        cursors = new Map(farms.map((one) => [one.id, one.cursor]));
        fill(body, ...told(farms));
      }, isUnasked);
    } catch (error) {
      if (left || (isUnasked && cursors.size > 0)) return;
      fill(body, emptyState(sentence(error, FARMS.offline), { label: SHELL.tryAgain, run: () => void show() }));
    }
  };
  const cursor = (): number | null => cursors.get(farm.id) ?? null;
  const news = newsOf({ body, cursor, read: show });
  const askOthers = async (): Promise<void> => {
    if (document.visibilityState === "hidden") return;
    const others = [...cursors].filter(([id]) => id !== farm.id);
    const now = others.slice(turn, turn + ASKED_AT_ONCE);
    turn = turn + ASKED_AT_ONCE < others.length ? turn + ASKED_AT_ONCE : 0;
    const isNews = await Promise.all(now.map(async ([id, after]) => (await api.changes(id, after)).cursor > after));
    if (!left && isNews.some(Boolean)) news.newer(0);
  };
  // no answer is told by the connection line
  const asking = setInterval(() => void askOthers().catch(() => undefined), ASK_OTHERS_MS);
  fill(root, h("h1", {}, FARMS.title), news.line, body);
  void show();
  return {
    cursor,
    newer: news.newer,
    leave() {
      left = true;
      clearInterval(asking);
      news.leave();
    },
  };
};
