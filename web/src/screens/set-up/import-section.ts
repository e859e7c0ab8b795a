/** Loading blocks: file, questions, plan with rows, taking. Holds the state; the parts draw it. */

import type { Preview } from "../../core/import-contracts";
import { draftGeometries, draftsOf, isComplete, isReady, keepPlanned, needsLook, orderOf, type Draft } from "../../core/drafts";
import { farBlocks } from "../../core/block-places";
import { vertices } from "../../core/plan-frame";
import { IMPORT } from "../../core/set-up-wording";
import { SHELL } from "../../core/wording";
import { sentence } from "../../data/request";
import { fill, h } from "../../ui/dom";
import { atEdge } from "../../ui/edges";
import { dropZone } from "../../ui/drop-zone";
import { notice } from "../../ui/notice";
import type { Context } from "../context";
import { blockForm, type BlockForm } from "./block-form";
import { blockList } from "./block-list";
import { farAsk } from "./far-ask";
import { filePlan } from "./file-plan";
import { questionsForm } from "./questions-form";
import { takenReport } from "./taken-report";

const CALM_MS = 400;

export interface ImportSection {
  box: HTMLElement;
  varietiesChanged(): void;
}

/** Files that are half set up, by farm: kept while another screen or farm is looked at. */
const left = new Map<string, { context: Context; section: ImportSection; hears: { blocksTaken(): void } }>();
window.addEventListener("beforeunload", (event) => {
  if (left.size > 0) event.preventDefault();
});

/** Return the section, with the file that was half set up when the screen was left; `blocksTaken` hears that the farm has more blocks now. */
export function importSection(context: Context, blocksTaken: () => void): ImportSection {
  const half = left.get(context.farm.id);
  if (half !== undefined) {
    half.context.farm = context.farm;
    half.hears.blocksTaken = blocksTaken;
    half.section.varietiesChanged();
    return half.section;
  }
  return newSection(context, { blocksTaken });
}

function newSection(context: Context, hears: { blocksTaken(): void }): ImportSection {
  const said = notice();
  const body = h("div", { class: "import-body" });
  let desk: Desk | null = null;

  const start = (): void => {
    desk = null;
    left.delete(context.farm.id);
    said.say("");
    fill(body, dropZone(IMPORT, (file) => void preview(file, {})));
  };
  const preview = async (file: File, answers: Readonly<Record<string, string>>): Promise<void> => {
    const form = new FormData();
    form.set("file", file);
    for (const [key, value] of Object.entries(answers)) form.set(key, value);
    said.say(IMPORT.reading(file.name));
    try {
      const found = await context.api.previewImport(context.farm.id, form);
      said.say("");
      show(found, file, answers);
    } catch (error) {
      said.say(sentence(error, SHELL.noAnswer), "bad");
      if (body.childElementCount === 0) start();
    }
  };
  const show = (found: Preview, file: File, answers: Readonly<Record<string, string>>): void => {
    const again = (more: Record<string, string>): void => void preview(file, { ...answers, ...more });
    const questions = found.questions.length === 0 ? null : questionsForm(found.questions, answers, again);
    const notes = (found.notes ?? []).map((note) => h("p", { class: "feature-note" }, note));
    const other = h("button", { type: "button", class: "quiet", on: { click: start } }, IMPORT.otherFile);
    desk = deskOf(context, found, said.say, (taken) => {
      left.delete(context.farm.id);
      said.say("");
      fill(body, takenReport(taken, context, start));
      hears.blocksTaken();
    });
    if (found.features.length > 0) left.set(context.farm.id, { context, section, hears });
    const about = h("p", {}, h("strong", {}, file.name), ` · ${found.summary}`, other);
    const waits = found.questions.some((question) => question.needed === true);
    fill(body, about, questions, ...notes, waits ? null : desk.box);
    about.scrollIntoView({ block: "start" });
  };
  const section: ImportSection = {
    box: h("section", { class: "import" }, h("h2", {}, IMPORT.title), h("p", {}, IMPORT.steps), said.box, body),
    varietiesChanged: () => desk?.varietiesChanged(),
  };
  start();
  return section;
}

interface Desk {
  box: HTMLElement;
  varietiesChanged(): void;
}

/** The desk on which the blocks of one file are set up. */
function deskOf(
  context: Context,
  preview: Preview,
  say: (text: string, tone?: "plain" | "good" | "bad") => void,
  taken: (report: Awaited<ReturnType<Context["api"]["takeImport"]>>) => void,
): Desk {
  const drafts = draftsOf(preview);
  let chosen = drafts.find((draft) => draft.take) ?? drafts[0] ?? null;
  let form: BlockForm | null = null;
  let timer = 0;
  const stale = new Set<Draft>(drafts.filter((draft) => draft.take));
  const formPlace = h("div", { class: "form-place" });
  const besidePlan = h("div", { class: "beside-plan" });
  const total = h("p", { class: "import-total", role: "status" });

  const plan = filePlan(preview, {
    chosen: (draft) => choose(draft),
    firstRow(points) {
      if (chosen === null) return;
      chosen.firstRow = points;
      changed(chosen);
      form?.draw();
    },
  }, drafts);
  const list = blockList(drafts, (draft) => choose(draft), (...which) => changed(...which));
  const far = farAsk(() => draw());
  const take = h("button", { type: "button", class: "main", on: { click: () => void takeAll() } }, IMPORT.takeAll);

  const draw = (): void => {
    const wanted = drafts.filter((draft) => draft.take);
    const ready = wanted.filter((draft) => isReady(draft, drafts));
    const sum = (key: "rows" | "trees"): number => ready.reduce((all, draft) => all + (draft.planned?.[key] ?? 0), 0);
    const open = wanted.filter((draft) => !ready.includes(draft)).map(({ code }) => code);
    const look = wanted.filter(needsLook).map(({ code }) => code);
    const farOpen = far.draw(farBlocks(preview.places ?? [], wanted), preview.places?.[0]?.farm ?? false);
    total.textContent = [
      ready.length > 0 ? IMPORT.total(ready.length, sum("rows"), sum("trees")) : "",
      open.length > 0 ? IMPORT.notReady(open) : "",
      look.length > 0 ? IMPORT.toLook(look) : "",
      farOpen ? IMPORT.farOpen : "",
    ].filter((words) => words !== "").join(" ");
    take.disabled = open.length > 0 || ready.length === 0 || farOpen;
    list.draw(chosen);
    plan.draw(chosen);
    form?.drawResult();
  };
  const changed = (...which: Draft[]): void => {
    for (const draft of which) stale.add(draft);
    draw();
    clearTimeout(timer);
    timer = window.setTimeout(() => void workOut(), CALM_MS);
  };
  const workOut = async (): Promise<void> => {
    const asked = [...stale].filter((draft) => draft.take);
    stale.clear();
    if (asked.length === 0) return;
    try {
      const { blocks } = await context.api.planImport(preview.token, asked.map(orderOf));
      asked.forEach((draft, place) => {
        // what was typed meanwhile is asked again; an old answer must not stand beside new numbers
        if (!stale.has(draft)) keepPlanned(draft, blocks[place] ?? null);
      });
      say("");
    } catch (error) {
      say(sentence(error, SHELL.noAnswer), "bad");
    }
    draw();
  };
  const takeAll = async (): Promise<void> => {
    say(IMPORT.taking);
    take.disabled = true;
    try {
      const ready = drafts.filter((draft) => draft.take && isComplete(draft));
      taken(await context.api.takeImport(preview.token, ready.map(orderOf), far.meant()));
    } catch (error) {
      say(sentence(error, SHELL.noAnswer), "bad");
      draw();
    }
  };
  const choose = (draft: Draft): void => {
    chosen = draft;
    form = blockForm(context, draft, drafts, {
      changed,
      pick: (picking) => plan.pick(picking),
      pickingText: () => plan.text(),
    });
    fill(formPlace, form.box);
    fill(besidePlan, form.beside);
    plan.look(draftGeometries(draft).flatMap(vertices));
    draw();
  };
  const wholeFile = h("button", { type: "button", on: { click: () => plan.lookAtAll() } }, IMPORT.wholeFile);
  const box =
    drafts.length === 0
      ? h("p", {}, IMPORT.noBlocks)
      : h(
          "div",
          { class: "desk" },
          far.box,
          h("div", { class: "desk-plan" }, plan.box, besidePlan, drafts.length > 1 ? wholeFile : null),
          h("div", {}, list.box, formPlace),
          atEdge("bottom", h("div", { class: "desk-foot" }, total, take)),
        );
  if (chosen !== null) {
    choose(chosen);
    changed(...drafts);
  }
  return {
    box,
    varietiesChanged: () => {
      if (chosen !== null) choose(chosen);
    },
  };
}
