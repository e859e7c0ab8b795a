/** Starting from a brief that is there: of this farm, or of another one of whoever asks. */

import type { BriefLine } from "../../core/brief-contracts";
import { firstToCopy } from "../../core/brief-list";
import { stateWords } from "../../core/brief-state";
import { NEW_BRIEF } from "../../core/briefs-wording";
import { SHELL } from "../../core/wording";
import type { BriefsApi } from "../../data/briefs-api";
import { sentence } from "../../data/request";
import { fill, h } from "../../ui/dom";
import { choiceField } from "../../ui/field";
import { notice } from "../../ui/notice";
import type { Context } from "../context";
import { subjectName } from "./subject";

interface Copiable {
  brief: BriefLine;
  label: string;
}

async function copiable(context: Context, api: BriefsApi, farmId: string): Promise<Copiable[]> {
  const farm = farmId === context.farm.id ? context.farm : await context.api.farm(farmId);
  const [{ briefs }, { blocks }] = await Promise.all([api.briefs(farmId), context.api.overview(farmId, farm.today)]);
  return briefs.map((brief) => ({ brief, label: `${subjectName(farm, blocks, brief) ?? brief.id}: ${stateWords(brief, farm.time_zone)}` }));
}

/** Return the section; `copy` is told which brief. That of the `variety` that a block is planted with stands first. */
export function copyForm(context: Context, api: BriefsApi, variety: string | null, copy: (id: string) => Promise<void>): HTMLElement {
  const { farms } = context.who;
  const farm = choiceField(NEW_BRIEF.copyFarm, farms.map(({ id, name }) => ({ value: id, label: name })), context.farm.id);
  const brief = choiceField(NEW_BRIEF.copyBrief, [], "");
  const run = h("button", { type: "submit" }, NEW_BRIEF.copyRun);
  const said = notice();
  const read = async (): Promise<void> => {
    const asked = farm.input.value;
    fill(brief.input);
    run.disabled = true;
    said.say(SHELL.loading);
    try {
      const found = await copiable(context, api, asked);
      if (asked !== farm.input.value) return; // another farm was chosen meanwhile
      fill(brief.input, ...found.map((one) => h("option", { value: one.brief.id }, one.label)));
      brief.input.value = firstToCopy(found.map((one) => one.brief), variety)?.id ?? "";
      run.disabled = found.length === 0;
      said.say(found.length === 0 ? NEW_BRIEF.copyNone : "");
    } catch (error) {
      if (asked === farm.input.value) said.say(sentence(error, SHELL.noAnswer), "bad");
    }
  };
  const submit = (event: Event): void => {
    event.preventDefault();
    void copy(brief.input.value);
  };
  farm.input.addEventListener("change", () => void read());
  void read();
  return h(
    "section",
    {},
    h("h2", {}, NEW_BRIEF.copy),
    h("form", { class: "form copy-form", on: { submit } }, farms.length > 1 ? farm.box : null, brief.box, run),
    said.box,
  );
}
