/** The editor of a brief, with the card beside it as the crew will get it. */

import type { ReadyMadeBriefs, WrittenBrief } from "../../core/brief-contracts";
import { heldBy } from "../../core/brief-list";
import type { BlockSummary } from "../../core/contracts";
import { BEARING, COMPARE, EDITOR } from "../../core/briefs-wording";
import type { BriefsApi } from "../../data/briefs-api";
import { unsavedDraftsOf } from "../../data/unsaved-drafts";
import { fill, h } from "../../ui/dom";
import { freshId, type Context, type Shown } from "../context";
import { placeLink } from "../place-link";
import { addPoint } from "./add-point";
import { cautionsPart } from "./cautions-part";
import { counted } from "./counted";
import { deskOf, type Desk } from "./desk";
import { habitPart } from "./habit-part";
import { notesPart } from "./notes-part";
import { pointsPart } from "./points-part";
import { cardPreview } from "./preview";
import { printLinks } from "./print-links";
import { problemsPart } from "./problems-part";
import { publishPart } from "./publish-part";
import { drawRead } from "./reading";
import { savingLine } from "./saving-line";
import { blocksOf, coveredBlocks, subjectName } from "./subject";
import { targetPart } from "./target-part";

/** Return the two buttons that show editor or card where there is room for one of them. */
function tabs(editor: HTMLElement, shown: () => void): HTMLElement {
  const words = { edit: EDITOR.edit, card: EDITOR.card };
  const buttons = (Object.keys(words) as (keyof typeof words)[]).map((tab) =>
    h("button", { type: "button", "aria-pressed": String(tab === "edit"), on: { click: () => pick(tab) } }, words[tab]),
  );
  const pick = (tab: keyof typeof words): void => {
    editor.dataset["tab"] = tab;
    buttons.forEach((button, at) => button.setAttribute("aria-pressed", String(Object.keys(words)[at] === tab)));
    shown();
  };
  return h("div", { class: "editor-tabs", role: "group", "aria-label": EDITOR.parts }, ...buttons);
}

/** Put the keyboard where a part is to be filled in: its first empty field, else its first one. */
function toField(part: HTMLElement | undefined): void {
  const fields = [...(part?.querySelectorAll<HTMLElement>("textarea,input:enabled,summary") ?? [])];
  const isEmpty = (field: HTMLElement): boolean => field instanceof HTMLTextAreaElement && field.value.trim() === "";
  (fields.find(isEmpty) ?? fields[0])?.focus();
}

interface Read {
  written: WrittenBrief;
  ready: ReadyMadeBriefs;
  name: string;
  /** Blocks that the brief is for. */
  covered: readonly BlockSummary[];
  /** Those to choose from for a card: of a variety, and without a brief of their own. */
  held: readonly BlockSummary[];
}

function draw(box: HTMLElement, context: Context, api: BriefsApi, desk: Desk, { name, ready, covered, held }: Read): void {
  const made = Object.keys(ready.briefs[0]?.texts ?? {}); // ready-made briefs are written in all of them
  const reopen = (): void => context.go(context.place);
  const preview = cardPreview(api, desk, name, made);
  const points = pointsPart(desk, ready.pictures);
  const parts: Record<string, HTMLElement> = {
    points: addPoint(desk, ready, points.open),
    bud_target: targetPart(desk, api, (use) => counted(context.request, context.farm.id, covered.map(({ id }) => id), use)),
    notes: notesPart(desk),
    cautions: cautionsPart(desk, ready),
  };
  const editor = h("div", { class: "editor", "data-tab": "edit" });
  const toList = { screen: "briefs", block: null } as const;
  fill(
    editor,
    h(
      "div",
      { class: "editor-parts" },
      problemsPart(desk, (key, part) => (key === null ? toField(parts[part]) : points.open(key, part))),
      points.box,
      ...Object.values(parts),
      habitPart(desk),
    ),
    preview.box,
  );
  const habit = h("p", {});
  const sayHabit = (): void => {
    const now = desk.content();
    fill(habit, EDITOR.habit(BEARING[now.habit], now.is_heavy_setter));
  };
  desk.listen(sayHabit);
  sayHabit();
  fill(
    box,
    placeLink(toList, EDITOR.back, context.go, { class: "back-link" }),
    placeLink({ ...toList, brief: desk.brief, compare: true }, COMPARE.open, context.go, { class: "back-link" }),
    h("h1", {}, EDITOR.title(name)),
    habit,
    printLinks(desk, made, held),
    tabs(editor, preview.draw),
    editor,
    h("div", { class: "editor-foot" }, savingLine(desk, reopen), publishPart(desk, api, reopen)),
  );
}

/** Show the screen. */
export function showEditor(root: HTMLElement, context: Context, api: BriefsApi, brief: string): Shown {
  const box = h("div", { class: "briefs" });
  const { farm, who } = context;
  let desk: Desk | null = null;
  let isLeft = false;
  const warn = (event: BeforeUnloadEvent): void => {
    if (desk !== null && desk.state().is !== "saved") event.preventDefault();
  };
  window.addEventListener("beforeunload", warn);
  const read = async (): Promise<Read> => {
    const [written, ready, blocks] = await Promise.all([api.brief(farm.id, brief), api.readyMade(false, "axis"), blocksOf(context)]);
    const { briefs } = await api.briefs(farm.id, written.season_id);
    const name = subjectName(farm, blocks, written) ?? brief;
    const covered = coveredBlocks(farm, blocks, written);
    return { written, ready, name, covered, held: written.block_id === null ? heldBy(covered, briefs) : [] };
  };
  void drawRead(box, read, (found) => {
    if (isLeft) return;
    const { written } = found;
    const unsaved = unsavedDraftsOf(window.localStorage, who.login ?? "", brief, freshId());
    desk = deskOf({ api, farm: farm.id, written, unsaved });
    draw(box, context, api, desk, found);
  }, () => context.go({ screen: "briefs", block: null }));
  fill(root, box);
  return {
    cursor: () => null,
    newer: () => void desk?.saving.flush(),
    leave() {
      isLeft = true;
      window.removeEventListener("beforeunload", warn);
      desk?.leave();
    },
  };
}
