/** One tree at a time: row, position, verdict; and the checks of the block so far. */

import type { CheckLine, TreeVerdict } from "../../core/contracts";
import { newCheck } from "../../core/records";
import { CHECKS } from "../../core/checks-wording";
import { COUNT_TOOL } from "../../core/count-tool-wording";
import { dayText } from "../../core/numbers";
import { noSuchRow, ROWS } from "../../core/rows-wording";
import { SHELL, TREE_VERDICT } from "../../core/wording";
import { sentence, sentences } from "../../data/request";
import { fill, h } from "../../ui/dom";
import { radioGroup, textField } from "../../ui/field";
import { emptyState, type Tone } from "../../ui/notice";
import { settle } from "../../ui/settling";
import type { BlockReading } from "../block-reading";
import { stamp, type Context, type Shown } from "../context";
import { countTool } from "../counting/count-tool";
import { auditorId, auditorName } from "./auditor";
import { briefLook } from "./brief-look";
import { byPoints } from "./by-points";
import { checksList, isSecondLook, newestFirst } from "./checks-list";
import type { EarlierLots } from "./earlier-lots";
import { treeChoice } from "./tree-choice";
import { verdictButtons } from "./verdict-buttons";
import "./checks.css";

/** A way back to where one came from. */
export interface WayBack {
  label: string;
  run(): void;
}

/** What else there is in a block with lots. */
export interface FromLots {
  /** To the lot that is walked; null where none is open. */
  back: WayBack | null;
  earlier: EarlierLots | null;
}

function head(context: Context, { block }: BlockReading, ways: { count: () => void; sheet: HTMLElement } | null, lots: FromLots | null): HTMLElement {
  const { back = null, earlier = null } = lots ?? {};
  const about = [block.variety ?? "", `${CHECKS.auditor}: ${auditorName(context)}`].filter(Boolean).join(" · ");
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
    h(
      "div",
      { class: "checks-ways" },
      ways === null ? null : briefLook(context, block, ways.sheet),
      ways === null ? null : h("button", { type: "button", on: { click: ways.count } }, COUNT_TOOL),
      back === null ? null : h("button", { type: "button", on: { click: back.run } }, back.label),
      earlier?.button ?? null,
      h("button", { type: "button", on: { click: other } }, CHECKS.otherBlock),
    ),
    earlier?.box ?? null,
  );
}

/** Show the checks of a block in `root`. */
export function showTreeChecks(root: HTMLElement, context: Context, reading: BlockReading, seasonId: string, lots: FromLots | null = null): Shown {
  const { block, shape, longest } = reading;
  let { state } = reading;
  let left = false;
  if (shape.rows.length === 0) {
    fill(root, head(context, reading, null, lots), emptyState(ROWS.noRows));
    return { cursor: () => null, newer: () => undefined, leave: () => undefined };
  }
  let leaveCounting = (): void => undefined;
  const count = (): void => {
    leaveCounting = countTool(context, { block, shape, seasonId }, () => undefined).leave;
  };
  let told = "";
  const list = checksList();
  const tree = treeChoice(shape.rows, longest, context.place.row ?? 1, { state: () => state, changed: () => moved() });
  const verdicts = verdictButtons({
    given: (verdict) => void record(verdict),
    tryAgain: () => void context.tryAgain(),
    caveat: () => tree.caveat(),
  });
  const isByPoints = reading.brief?.content.points.some(({ is_checked }) => is_checked) ?? false;
  const points = reading.brief === null || !isByPoints ? null : byPoints(context, block.id, reading.brief, verdicts.narrow);
  /** Another tree is looked at. */
  const moved = (): void => {
    points?.reset();
    standing();
  };
  const how = radioGroup(
    CHECKS.drawnLegend,
    [
      { value: "seen", label: CHECKS.seen },
      { value: "drawn", label: CHECKS.drawn },
    ],
    "seen",
  );
  const note = textField(CHECKS.note, "", { maxlength: 500 });

  const isUnsaved = (): boolean => {
    const { row, position } = tree.chosen();
    const waiting = context.sending.waitingFor(block.id).map(({ subject }) => subject);
    return waiting.some((subject) => subject.row === row && subject.position === position);
  };
  const lastCheck = (): CheckLine | undefined => {
    const { row, position } = tree.chosen();
    return newestFirst(state.checks).find((check) => check[1] === row && check[2] === position && !isSecondLook(check));
  };
  const key = (): string => JSON.stringify([tree.chosen(), lastCheck()?.[0], isUnsaved()]);
  /** Say what is known of the chosen tree, after `first`; a tree that has a check takes another one only when asked for. */
  const standing = (first = "", tone: Tone = "plain"): void => {
    const last = lastCheck();
    const words = (text: string): string => sentences([first, text]);
    told = key();
    if (isUnsaved()) {
      verdicts.say(words(CHECKS.waiting), "bad");
      verdicts.shutUnsaved();
    } else if (last !== undefined) {
      const [verdict, day] = [TREE_VERDICT[last[3]].toLowerCase(), dayText(last[4])];
      verdicts.say(words(first === "" ? CHECKS.already(verdict, day) : ""), tone);
      verdicts.shutChecked();
    } else {
      verdicts.say(first === "" ? tree.caveat() : first, tone);
      verdicts.open();
    }
  };
  const read = async (): Promise<boolean> => {
    try {
      state = await context.api.state(block.id, context.farm.today);
      if (left) return true;
      tree.draw();
      list.draw(state.checks);
      return true;
    } catch (error) {
      verdicts.say(sentence(error, SHELL.noAnswer), "bad");
      return false;
    }
  };
  const record = async (verdict: TreeVerdict): Promise<void> => {
    const { row, position } = tree.chosen();
    const about = {
      seasonId,
      blockId: block.id,
      brief: reading.brief,
      auditorId: auditorId(context),
      day: context.farm.today,
      deviceId: context.deviceId,
      ground: reading.shape.ground,
    };
    const found = { row, position, verdict, drawn: how.value() === "drawn", note: note.input.value };
    const findings = points?.findings();
    verdicts.shut();
    verdicts.say(CHECKS.saving);
    const values = [newCheck(about, findings === undefined ? found : { ...found, findings }, stamp())];
    const fate = await context.sending.handIn(context.farm.id, { kind: "checks", values }, { block: block.id, row, position });
    if (left) return;
    if (fate.state === "refused") return standing(CHECKS.refused(fate.problem.message), "bad");
    if (fate.state === "not-sent") return standing(CHECKS.notSaved, "bad");
    note.input.value = "";
    points?.reset();
    if (!(await read())) {
      const line: CheckLine = [values[0]?.id ?? "", row, position, verdict, about.day, null, found.note, found.drawn];
      state = { ...state, checks: [...state.checks, line] }; // receipted: the tree must not look unchecked
    }
    if (fate.state === "kept") return standing(CHECKS.saved(row, position, TREE_VERDICT[verdict].toLowerCase()), "good");
    const aside = fate.receipts.find((receipt) => receipt.outcome === "set_aside");
    if (aside) return standing(CHECKS.setAside(aside.reason), "bad");
    standing(CHECKS.saved(row, position, TREE_VERDICT[verdict].toLowerCase()), "good");
  };
  const hint = h("p", { class: "field-hint" }, CHECKS.drawnCounts);
  const sheet = h(
    "div",
    { class: "checks-sheet" },
    h(
      "div",
      {},
      tree.box,
      // where there are lots, a tree that was drawn is checked in its lot
      h("div", { class: "tree-about" }, note.box, lots === null ? h("div", {}, how.box, hint) : null),
      points?.button ?? null,
      points?.box ?? null,
      verdicts.box,
    ),
    list.box,
  );
  fill(root, head(context, reading, { count, sheet }, lots), sheet);
  settle(sheet);
  tree.draw();
  list.draw(state.checks);
  const wanted = context.place.row;
  if (wanted !== undefined && !shape.rows.some(({ n }) => n === wanted)) {
    verdicts.say(noSuchRow(block.code, wanted, shape.rows), "bad");
    verdicts.shut(); // until a tree is chosen: a verdict must not go to another row than the one asked for
  }
  return {
    cursor: () => state.cursor,
    newer: () =>
      void read().then(() => {
        // a verdict that is being given is left alone, unless the tree itself was checked meanwhile
        if (!left && told !== key()) standing();
      }),
    leave() {
      left = true;
      leaveCounting();
    },
  };
}
