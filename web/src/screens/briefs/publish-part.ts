/** Publishing: shows what changes against the last version, then makes the draft the next one. */

import type { BriefContent, SaidBrief } from "../../core/brief-contracts";
import { changedGroups } from "../../core/brief-differences";
import { PUBLISH } from "../../core/briefs-wording";
import { SHELL } from "../../core/wording";
import type { BriefsApi } from "../../data/briefs-api";
import { Problem, sentence } from "../../data/request";
import { fill, h } from "../../ui/dom";
import { notice } from "../../ui/notice";
import { settle } from "../../ui/settling";
import type { Desk } from "./desk";
import { differencesList } from "./differences-list";

/** Return the part; `reopen` shows the brief anew, as it is saved. */
export function publishPart(desk: Desk, api: BriefsApi, reopen: () => void): HTMLElement {
  const said = notice();
  const panel = h("div", { class: "publish-panel" });
  const begin = h("button", { type: "button", class: "main", on: { click: () => void look() } }, PUBLISH.publish);
  const tell = (error: unknown): void => said.say(sentence(error, SHELL.noAnswer), "bad");
  /** What the panel, or the sentence beside the button, speaks of. */
  let looked: BriefContent | null = null;
  const close = (): void => {
    fill(panel);
    begin.hidden = false;
  };

  /** Nothing is unsaved here, but somebody else saved: there is nothing to merge, only to look at. */
  const offerSaved = (): void => {
    const show = h("button", { type: "button", class: "main", on: { click: reopen } }, PUBLISH.showSaved);
    begin.hidden = true;
    fill(panel, h("p", { role: "status" }, PUBLISH.stale), show);
    settle(panel, () => show.focus());
  };
  /** Return what changes against a version; null where the draft says the same. */
  const changes = async (last: number, draft: SaidBrief): Promise<HTMLElement[] | null> => {
    const [{ differences }, before] = await Promise.all([
      api.differences(desk.farm, desk.brief, last, null),
      api.version(desk.farm, desk.brief, last),
    ]);
    if (differences.length === 0) return null;
    const list = differencesList(changedGroups(differences, before, draft));
    return [h("h2", {}, PUBLISH.against(last)), list, h("p", {}, PUBLISH.old)];
  };
  const publish = async (revision: number): Promise<void> => {
    try {
      const { version } = await api.publish(desk.farm, desk.brief, revision);
      close();
      begin.focus();
      said.say(PUBLISH.done(version), "good");
      await desk.readAgain();
    } catch (error) {
      if (error instanceof Problem && error.status === 409) offerSaved();
      else tell(error);
    }
  };
  const look = async (): Promise<void> => {
    said.say("");
    fill(panel);
    looked = desk.content();
    try {
      if (!(await desk.saving.flush())) return said.say(PUBLISH.notSaved, "bad");
      const { draft, versions } = await desk.readAgain();
      if (draft.revision !== desk.saving.revision()) return offerSaved();
      if (draft.problems.length > 0) return said.say(PUBLISH.mend, "bad");
      const last = versions.at(-1)?.version ?? 0;
      const told = last === 0 ? [h("p", {}, PUBLISH.first)] : await changes(last, draft);
      if (told === null) return said.say(PUBLISH.same(last));
      // the revision that was looked at: what is written meanwhile is not published unseen
      const revision = desk.saving.revision();
      const yes = h("button", { type: "button", class: "main", on: { click: () => void publish(revision) } }, PUBLISH.yes(last + 1));
      const leave = (): void => {
        close();
        begin.focus();
      };
      const no = h("button", { type: "button", on: { click: leave } }, PUBLISH.notYet);
      begin.hidden = true;
      fill(panel, h("div", { class: "publish-told", tabindex: 0 }, ...told), h("div", { class: "line-buttons" }, no, yes));
      settle(panel, () => no.focus());
    } catch (error) {
      tell(error);
    }
  };
  desk.listen(() => {
    if (looked === null || looked === desk.content()) return;
    looked = null; // something else was written: it is to be looked at anew
    close();
    said.say("");
  });
  return h("div", { class: "publish-part" }, panel, said.box, begin);
}
