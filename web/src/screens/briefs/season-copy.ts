/** Taking over the briefs of the season before, as drafts. */

import { BRIEFS } from "../../core/briefs-wording";
import type { Season } from "../../core/contracts";
import { SHELL } from "../../core/wording";
import type { BriefsApi } from "../../data/briefs-api";
import { sentence } from "../../data/request";
import { h } from "../../ui/dom";
import { notice } from "../../ui/notice";

/** Return the button with what it does. */
export function seasonCopy(about: { api: BriefsApi; farm: string; from: Season; to: Season; done(words: string): Promise<void> }): HTMLElement {
  const said = notice();
  const run = async (): Promise<void> => {
    try {
      const { briefs } = await about.api.copySeason(about.farm, about.from.id, about.to.id);
      if (briefs.length === 0) said.say(BRIEFS.tookNone);
      else await about.done(BRIEFS.tookOver(briefs.length));
    } catch (error) {
      said.say(sentence(error, SHELL.noAnswer), "bad");
    }
  };
  const button = h("button", { type: "button", on: { click: () => void run() } }, BRIEFS.takeOver(about.from.name));
  return h("div", { class: "season-copy" }, button, h("p", {}, BRIEFS.takeOverWhy), said.box);
}
