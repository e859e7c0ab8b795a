/** One tree at a time: row, position, verdict; and the checks of the block so far. */

import type { TreeVerdict } from "../../core/contracts";
import { newCheck } from "../../core/records";
import { CHECKS } from "../../core/checks-wording";
import { ROWS, SHELL, TREE_VERDICT } from "../../core/wording";
import { sentence } from "../../data/request";
import { fill, h } from "../../ui/dom";
import { radioGroup, textField } from "../../ui/field";
import { budPicture } from "../../ui/legend-signs";
import { emptyState, notice } from "../../ui/notice";
import type { BlockReading } from "../block-reading";
import { pickedAuditor, stamp, type Context, type Shown } from "../context";
import { checksList } from "./checks-list";
import { treeChoice } from "./tree-choice";
import "./checks.css";

const VERDICTS: readonly TreeVerdict[] = ["meets", "minor", "faulty"];

function head(context: Context, { block }: BlockReading): HTMLElement {
  const auditor = pickedAuditor(context)?.name ?? CHECKS.noName;
  const about = [block.variety ?? "", `${CHECKS.auditor}: ${auditor}`].filter(Boolean).join(" · ");
  const other = (): void => context.go({ screen: "checks", block: null });
  return h(
    "div",
    { class: "checks-head" },
    h(
      "div",
      {},
      h("h1", {}, h("span", { class: "block-code" }, block.code), ` ${block.name === block.code ? "" : block.name}`),
      h("p", {}, about),
    ),
    h("button", { type: "button", on: { click: other } }, CHECKS.otherBlock),
  );
}

/** Show the checks of a block in `root`. */
export function showTreeChecks(root: HTMLElement, context: Context, reading: BlockReading, seasonId: string): Shown {
  const { block, shape, longest } = reading;
  let { state } = reading;
  let left = false;
  if (shape.rows.length === 0) {
    fill(root, head(context, reading), emptyState(ROWS.noRows));
    return { cursor: () => null, newer: () => undefined, leave: () => undefined };
  }
  const tree = treeChoice(shape.rows, longest, context.place.row ?? 1, () => state);
  const list = checksList();
  const said = notice();
  const how = radioGroup(
    CHECKS.drawnLegend,
    [
      { value: "seen", label: CHECKS.seen },
      { value: "drawn", label: CHECKS.drawn },
    ],
    "seen",
  );
  const note = textField(CHECKS.note, "", { maxlength: 500 }, CHECKS.noteHint);

  const read = async (): Promise<void> => {
    try {
      state = await context.api.state(block.id, context.farm.today);
      if (left) return;
      tree.draw();
      list.draw(state.checks);
    } catch (error) {
      said.say(sentence(error, SHELL.noAnswer), "bad");
    }
  };
  const record = async (verdict: TreeVerdict): Promise<void> => {
    const { row, position } = tree.chosen();
    const about = {
      seasonId,
      blockId: block.id,
      auditorId: pickedAuditor(context)?.id ?? null,
      day: context.farm.today,
      deviceId: context.deviceId,
    };
    const found = { row, position, verdict, drawn: how.value() === "drawn", note: note.input.value };
    for (const button of buttons) button.disabled = true;
    said.say(CHECKS.saving);
    const values = [newCheck(about, found, stamp())];
    const fate = await context.sending.handIn(context.farm.id, { kind: "checks", values });
    for (const button of buttons) button.disabled = false;
    if (left) return;
    if (fate.state === "answered") {
      const aside = fate.receipts.find((receipt) => receipt.outcome === "set_aside");
      const saved = CHECKS.saved(row, position, TREE_VERDICT[verdict].toLowerCase());
      note.input.value = "";
      await read();
      said.say(aside ? CHECKS.setAside(aside.reason) : saved, aside ? "bad" : "good");
    } else {
      said.say(fate.state === "refused" ? CHECKS.refused(fate.problem.message) : CHECKS.notSaved, "bad");
    }
  };
  const buttons = VERDICTS.map((verdict) =>
    h(
      "button",
      { type: "button", class: "verdict", on: { click: () => void record(verdict) } },
      budPicture(verdict),
      h("span", {}, TREE_VERDICT[verdict]),
    ),
  );
  fill(
    root,
    head(context, reading),
    h(
      "div",
      { class: "checks-sheet" },
      h(
        "div",
        {},
        tree.box,
        h("div", { class: "tree-about" }, note.box, how.box),
        h("div", { class: "verdicts", role: "group", "aria-label": CHECKS.verdict }, ...buttons),
        said.box,
      ),
      list.box,
    ),
  );
  tree.draw();
  list.draw(state.checks);
  return {
    cursor: () => state.cursor,
    newer: () => void read(),
    leave() {
      left = true;
    },
  };
}
