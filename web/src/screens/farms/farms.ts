/** Farms: those that one adviser or manager has, side by side by variety and week. */

import type { FarmWork } from "../../core/farms-contracts";
import { FARMS } from "../../core/farms-wording";
import { HERE } from "../../core/who-wording";
import { SHELL } from "../../core/wording";
import { readFarms } from "../../data/farms-api";
import { sentence } from "../../data/request";
import { fill, h } from "../../ui/dom";
import { emptyState } from "../../ui/notice";
import { settle } from "../../ui/settling";
import type { Screen } from "../context";
import "./farms.css";
import { standingPart } from "./standing-part";
import { varietiesPart } from "./varieties-part";
import { weeksPart } from "./weeks-part";

/** All farms are read at most so often while marks come in. */
const READ_AGAIN_MS = 1_500;

/** Show the screen. */
export const showFarms: Screen = (root, { request, farm, device, who, go }) => {
  const newer = h("div", { class: "newer", role: "status" });
  const body = h("div", { class: "farms" }, h("p", {}, SHELL.loading));
  let cursor: number | null = null;
  let left = false;
  let due: ReturnType<typeof setTimeout> | undefined;
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
  const show = async (): Promise<void> => {
    try {
      const { farms } = await readFarms(request);
      if (left) return;
      cursor = farms.find(({ id }) => id === farm.id)?.cursor ?? null;
      fill(newer);
      const again = body.querySelector("table") !== null;
      fill(body, ...told(farms));
      if (again) settle(body); // it came by itself: no finger falls on it unseen
    } catch (error) {
      if (!left) fill(body, emptyState(sentence(error, FARMS.offline), { label: SHELL.tryAgain, run: () => void show() }));
    }
  };
  fill(root, h("h1", {}, FARMS.title), newer, body);
  void show();
  return {
    cursor: () => cursor,
    newer(records) {
      // tables alone stand here: they show what is new by themselves, unless the keyboard stands among them
      if (records === 0 || !body.contains(document.activeElement)) {
        due ??= setTimeout(() => {
          due = undefined;
          void show();
        }, records === 0 ? 0 : READ_AGAIN_MS);
        return;
      }
      fill(newer, h("span", {}, FARMS.newer), h("button", { type: "button", on: { click: () => void show() } }, FARMS.readAgain));
    },
    leave() {
      left = true;
      clearTimeout(due);
    },
  };
};
