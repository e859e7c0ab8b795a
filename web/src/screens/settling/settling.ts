/** What waits to be settled, as numbers. */

import { DOOR } from "../../core/door-wording";
import { SHELL } from "../../core/wording";
import { sentence } from "../../data/request";
import { fill, h } from "../../ui/dom";
import { STILL, type Screen } from "../context";

/** Show what waits. */
export const showSettling: Screen = (root, { farm, request }) => {
  const body = h("p", {}, SHELL.loading);
  fill(root, h("h1", {}, DOOR.settling), body);
  const read = async (): Promise<void> => {
    try {
      const path = `/farms/${encodeURIComponent(farm.id)}/matters`;
      const matters = await request<{ overlaps: unknown[]; set_aside: unknown[] }>(path);
      const [overlaps, aside] = [matters.overlaps.length, matters.set_aside.length];
      fill(body, overlaps + aside === 0 ? DOOR.settlingNone : DOOR.settlingOpen(overlaps, aside));
    } catch (error) {
      fill(body, sentence(error, SHELL.noAnswer));
    }
  };
  void read();
  return STILL;
};
