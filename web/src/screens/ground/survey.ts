/** A block surveyed again: a file is read, and one part of it compared with what is here. */

import { draftsOf, type Draft } from "../../core/drafts";
import type { BlockGround } from "../../core/ground-contracts";
import { GROUND } from "../../core/ground-wording";
import { IMPORT } from "../../core/set-up-wording";
import { SHELL } from "../../core/wording";
import { sentence } from "../../data/request";
import { fill, h } from "../../ui/dom";
import { dropZone } from "../../ui/drop-zone";
import { choiceField } from "../../ui/field";
import { notice } from "../../ui/notice";
import type { Context } from "../context";
import type { Wish } from "./ground-state";

/** Return the part of the panel. It keeps a file that was read while the panel is drawn anew. */
export function surveyPart({ api, farm }: Context, ground: () => BlockGround | null, edit: (wish: Wish) => void): () => HTMLElement {
  const said = notice();
  const body = h("div", {});
  const box = h("div", {}, h("p", { class: "field-hint" }, GROUND.surveyHelp), said.box, body);
  const start = (): void => fill(body, dropZone(IMPORT, (file) => void read(file)));
  const read = async (file: File): Promise<void> => {
    const form = new FormData();
    form.set("file", file);
    said.say(IMPORT.reading(file.name));
    try {
      const found = await api.previewImport(farm.id, form);
      if (found.questions.some(({ needed }) => needed === true)) {
        said.say(GROUND.surveyQuestions, "bad");
        return;
      }
      const drafts = draftsOf(found).filter(({ feature, surveyed }) => surveyed.length > 0 || (feature !== null && feature.problem === null));
      said.say(drafts.length === 0 ? GROUND.surveyNone : "", drafts.length === 0 ? "bad" : "plain");
      if (drafts.length > 0) choose(found.token, drafts);
    } catch (error) {
      said.say(sentence(error, SHELL.noAnswer), "bad");
    }
  };
  const choose = (token: string, drafts: readonly Draft[]): void => {
    const label = ({ code, surveyed }: Draft): string => (surveyed.length === 0 ? code : `${code} · ${GROUND.surveyRows(surveyed.length)}`);
    const own = drafts.findIndex(({ code }) => code === ground()?.code);
    const which = choiceField(GROUND.surveyWhich, drafts.map((draft, at) => ({ value: String(at), label: label(draft) })), String(Math.max(own, 0)));
    const compare = (): void => {
      const draft = drafts[Number(which.input.value)];
      const planting = ground()?.planting;
      if (draft === undefined || planting == null) return;
      const { first_row: _, ...numbers } = planting; // of the old place
      const survey = { token, rows: draft.surveyed.map(({ index }) => index), ...(draft.feature === null ? {} : { index: draft.feature.index }) };
      edit({ kind: "lay-block", planting: numbers, survey });
    };
    fill(
      body,
      which.box,
      h("div", { class: "line-buttons" }, h("button", { type: "button", class: "main", on: { click: compare } }, GROUND.surveyDo), h("button", { type: "button", on: { click: start } }, IMPORT.otherFile)),
    );
  };
  start();
  return () => box;
}
