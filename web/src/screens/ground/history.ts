/** Changes of the ground that were taken, and the step back from one, looked at before it is taken. */

import { blockText, changeLines } from "../../core/ground-changes";
import type { TakenChange } from "../../core/ground-contracts";
import { GROUND } from "../../core/ground-wording";
import { momentText } from "../../core/numbers";
import { SHELL } from "../../core/wording";
import type { GroundApi } from "../../data/ground-api";
import { sentence } from "../../data/request";
import { fill, h } from "../../ui/dom";
import { notice } from "../../ui/notice";
import { lineItem } from "./change-panel";

export interface HistoryTools {
  api: GroundApi;
  farm: { id: string; time_zone: string };
  freshId(): string;
  codeOf(block: string): string;
  /** A change was taken back: everything is to be read anew. */
  takenBack(): void;
}

function oneChange(change: TakenChange, { api, farm, freshId, codeOf, takenBack }: HistoryTools): HTMLElement {
  const said = notice();
  const lines = h("ul", { class: "plain-list ground-changes" });
  const tools = h("div", { class: "line-buttons" });
  const body = { id: freshId(), undoes: change.id };
  const button = (text: string, click: () => Promise<void>, name = ""): HTMLElement => {
    const run = async (): Promise<void> => {
      try {
        await click();
      } catch (error) {
        said.say(sentence(error, SHELL.noAnswer), "bad");
      }
    };
    return h("button", { type: "button", class: name, on: { click: () => void run() } }, text);
  };
  const take = async (): Promise<void> => {
    await api.take(farm.id, body);
    takenBack();
  };
  const look = async (): Promise<void> => {
    const found = await api.preview(farm.id, body);
    fill(lines, ...changeLines(found, codeOf).map((line) => lineItem(line)));
    fill(tools, found.can_be_taken ? button(GROUND.takeBack, take, "main") : null);
  };
  if (change.is_last) fill(tools, button(GROUND.takeBackLook, look));
  const when = GROUND.historyLine(momentText(change.made_at, farm.time_zone), change.made_by);
  return h(
    "li",
    {},
    h("p", {}, h("strong", {}, when), change.undoes === null ? "" : ` · ${GROUND.undone}`),
    ...change.blocks.map((block) => h("p", {}, blockText(block))),
    lines,
    said.box,
    tools,
  );
}

/** Return the list, the newest first. */
export function history(changes: readonly TakenChange[], tools: HistoryTools): HTMLElement {
  return h(
    "details",
    { class: "ground-fold" },
    h("summary", {}, GROUND.history),
    changes.length === 0 ? h("p", {}, GROUND.historyNone) : h("ul", { class: "plain-list ground-history" }, ...changes.map((change) => oneChange(change, tools))),
  );
}
