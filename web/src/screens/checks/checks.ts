/** The auditor's screen: who checks, then block, then tree by tree. */

import type { BlockSummary } from "../../core/contracts";
import { CHECKS } from "../../core/checks-wording";
import { ROWS } from "../../core/rows-wording";
import { lotWords, SHELL } from "../../core/wording";
import { sentence } from "../../data/request";
import { fill, h } from "../../ui/dom";
import { choiceField } from "../../ui/field";
import { emptyState } from "../../ui/notice";
import { blockPicker, byCode, closedNote } from "../block-picker";
import { readBlock } from "../block-reading";
import { packAges, pickedAuditor, STILL, type Context, type Screen, type Shown } from "../context";
import "../pickers.css";
import { showTreeChecks } from "./tree-checks";

/** Return the choice of the auditor; kept as an id on this device only. */
function auditorChoice(context: Context): HTMLElement {
  const auditors = context.farm.people.filter(({ role }) => role === "auditor" || role === "manager");
  if (auditors.length === 0) return h("p", {}, CHECKS.noAuditors);
  const field = choiceField(
    CHECKS.whichAuditor,
    [{ value: "", label: CHECKS.noName }, ...auditors.map(({ id, name }) => ({ value: id, label: name }))],
    pickedAuditor(context)?.id ?? "",
  );
  field.input.addEventListener("change", () =>
    context.device.set("auditor", field.input.value === "" ? null : field.input.value),
  );
  return h("div", { class: "auditor" }, field.box);
}

/** Show the checks screen. */
export const showChecks: Screen = (root, context) => {
  let inner: Shown = STILL;
  let left = false;
  let failed = false;
  const body = h("div", {}, h("p", {}, SHELL.loading));
  fill(root, body);
  const say = (text: string): void =>
    fill(
      body,
      h("h1", {}, CHECKS.title),
      emptyState(text, { label: "Set-up", run: () => context.go({ screen: "set-up", block: null }) }),
    );
  const pick = (blocks: readonly BlockSummary[], wanted?: BlockSummary): void =>
    fill(
      body,
      h("h1", {}, CHECKS.title),
      wanted === undefined ? null : closedNote(wanted, context.farm.time_zone),
      auditorChoice(context),
      blockPicker(
        [...blocks].sort((a, b) => Number(b.pruned > 0) - Number(a.pruned > 0) || byCode(a, b)),
        context.farm.time_zone,
        { title: CHECKS.pickBlock, line: lotWords },
        packAges(context),
        (block) => context.go({ screen: "checks", block: block.id }),
      ),
    );
  const start = async (): Promise<void> => {
    failed = false;
    try {
      const { farm, place } = context;
      if (farm.season === null) return say(CHECKS.noSeason);
      const overview = await context.api.overview(farm.id, farm.today);
      if (left) return;
      if (overview.blocks.length === 0) return say(ROWS.noBlocks);
      const block = overview.blocks.find((one) => one.id === place.block);
      if (block === undefined || block.closed !== null) return pick(overview.blocks, block);
      const reading = await readBlock(context, block, farm.today);
      if (!left) inner = showTreeChecks(body, context, reading, farm.season.id);
    } catch (error) {
      failed = true;
      const action = { label: SHELL.tryAgain, run: () => void start() };
      fill(body, emptyState(sentence(error, SHELL.noAnswer), action));
    }
  };
  void start();
  return {
    cursor: () => inner.cursor(),
    newer: (records) => (failed ? void start() : inner.newer(records)),
    leave() {
      left = true;
      inner.leave();
    },
  };
};
