/** Which varieties bear every other year, and which are prone to canker: a touch, and it is saved. */

import type { Variety } from "../../core/contracts";
import { TIMING } from "../../core/timing-wording";
import { SHELL } from "../../core/wording";
import { sentence } from "../../data/request";
import type { Leaning, TimingApi } from "../../data/timing-api";
import { h } from "../../ui/dom";
import { notice } from "../../ui/notice";
import type { Context } from "../context";

const COLUMNS: readonly [Leaning, string][] = [
  ["is_biennial", TIMING.biennial],
  ["is_canker_prone", TIMING.cankerProne],
];

/** Return the table; `saved` hears every change. */
export function leanings({ farm }: Context, api: TimingApi, saved: () => void): HTMLElement {
  const said = notice();
  const set = async (variety: Variety, leaning: Leaning, box: HTMLInputElement): Promise<void> => {
    try {
      await api.lean(farm.id, variety.id, { [leaning]: box.checked });
      variety[leaning] = box.checked;
      said.say(TIMING.savedOf(variety.name), "good");
      saved();
    } catch (error) {
      box.checked = !box.checked; // it is as it was
      said.say(sentence(error, SHELL.noAnswer), "bad");
    }
  };
  const cell = (variety: Variety, [leaning, words]: readonly [Leaning, string]): HTMLElement => {
    const box = h("input", { type: "checkbox", "aria-label": `${variety.name}: ${words}` });
    box.checked = variety[leaning];
    box.addEventListener("change", () => void set(variety, leaning, box));
    return h("td", {}, h("label", { class: "timing-check" }, box));
  };
  const table = (): HTMLElement =>
    h(
      "table",
      {},
      h("thead", {}, h("tr", {}, ...[TIMING.variety, ...COLUMNS.map(([, words]) => words)].map((head) => h("th", { scope: "col" }, head)))),
      h(
        "tbody",
        {},
        ...farm.varieties.map((variety) =>
          h("tr", {}, h("th", { scope: "row" }, variety.name), ...COLUMNS.map((column) => cell(variety, column))),
        ),
      ),
    );
  return h(
    "details",
    { class: "timing-form" },
    h("summary", {}, TIMING.varieties),
    h("p", {}, farm.varieties.length === 0 ? TIMING.noVarieties : TIMING.varietiesPurpose),
    said.box,
    farm.varieties.length === 0 ? null : table(),
  );
}
