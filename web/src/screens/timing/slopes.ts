/** How steep each block is: read when the part is opened, saved number by number. */

import { measureText, typedMeasure } from "../../core/typed-measure";
import { TIMING } from "../../core/timing-wording";
import { roleAt } from "../../core/who";
import { SHELL } from "../../core/wording";
import { sentence } from "../../data/request";
import type { TimingApi } from "../../data/timing-api";
import { fill, h } from "../../ui/dom";
import { notice } from "../../ui/notice";
import type { Context } from "../context";

const STEEPEST_PERCENT = 200;

interface Sloping {
  id: string;
  code: string;
  slope_percent: number | null;
}

/** Return the part. */
export function slopes({ farm, who }: Context, api: TimingApi): HTMLElement {
  const said = notice();
  const body = h("div", {});
  const isManager = roleAt(who, farm.id) === "manager";
  const shown = (value: number | null): string => (value === null ? "" : measureText(value));
  const save = async (block: Sloping, input: HTMLInputElement): Promise<void> => {
    const typed = input.value.trim() === "" ? null : typedMeasure(input.value);
    const wrong = input.value.trim() !== "" && (typed === null || typed < 0 || typed > STEEPEST_PERCENT);
    input.toggleAttribute("aria-invalid", wrong);
    if (wrong) {
      said.say(TIMING.needsNumber("0", String(STEEPEST_PERCENT), "%"), "bad");
      return;
    }
    try {
      await api.setSlope(block.id, typed);
      block.slope_percent = typed;
      said.say(TIMING.savedOf(block.code), "good");
    } catch (error) {
      input.value = shown(block.slope_percent);
      said.say(sentence(error, SHELL.noAnswer), "bad");
    }
  };
  const line = (block: Sloping): HTMLElement => {
    const input = h("input", { type: "text", inputmode: "decimal", maxlength: 6, disabled: !isManager, "aria-label": TIMING.slopeOf(block.code) });
    input.value = shown(block.slope_percent);
    input.addEventListener("change", () => void save(block, input));
    return h("tr", {}, h("th", { scope: "row" }, block.code), h("td", {}, input));
  };
  const read = async (): Promise<void> => {
    fill(body, h("p", {}, SHELL.loading));
    try {
      const { features } = await api.blocks(farm.id);
      const blocks = features.map(({ id, properties }): Sloping => ({ id, ...properties }));
      fill(
        body,
        h(
          "table",
          { class: "timing-slopes" },
          h("thead", {}, h("tr", {}, h("th", { scope: "col" }, TIMING.block), h("th", { scope: "col" }, TIMING.slope))),
          h("tbody", {}, ...blocks.map(line)),
        ),
      );
    } catch (error) {
      fill(body);
      said.say(sentence(error, SHELL.noAnswer), "bad");
    }
  };
  const box = h(
    "details",
    { class: "timing-form" },
    h("summary", {}, TIMING.slopes),
    h("p", {}, TIMING.slopesPurpose, isManager ? "" : ` ${TIMING.slopesByManager}`),
    said.box,
    body,
  );
  box.addEventListener("toggle", () => {
    if (box.open && body.childElementCount === 0) void read();
  });
  return box;
}
