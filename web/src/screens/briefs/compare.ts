/** Two versions of a brief, or one and the draft, point by point. */

import { changedGroups } from "../../core/brief-differences";
import type { SaidBrief, WrittenBrief } from "../../core/brief-contracts";
import { dayOf } from "../../core/brief-state";
import { COMPARE } from "../../core/briefs-wording";
import { SHELL } from "../../core/wording";
import type { BriefsApi } from "../../data/briefs-api";
import { sentence } from "../../data/request";
import { fill, h } from "../../ui/dom";
import { choiceField } from "../../ui/field";
import { emptyState } from "../../ui/notice";
import { STILL, type Context, type Shown } from "../context";
import { placeLink } from "../place-link";
import { differencesList } from "./differences-list";
import { drawRead } from "./reading";
import { blocksOf, subjectName } from "./subject";

const DRAFT = "draft";

function choice(context: Context, api: BriefsApi, { id, versions, draft }: WrittenBrief): HTMLElement {
  const { farm } = context;
  const published = versions.map(({ version, published_at }) => ({
    value: String(version),
    label: COMPARE.version(version, dayOf(published_at, farm.time_zone)),
  }));
  const last = published.at(-1)?.value ?? "";
  const from = choiceField(COMPARE.from, published, published.at(-2)?.value ?? last);
  const to = choiceField(COMPARE.to, [...published, { value: DRAFT, label: COMPARE.draft }], published.length > 1 ? last : DRAFT);
  const found = h("div", { "aria-live": "polite" });
  const saidOf = async (which: string): Promise<SaidBrief> => (which === DRAFT ? draft : api.version(farm.id, id, Number(which)));
  const draw = async (): Promise<void> => {
    const asked = [from.input.value, to.input.value] as const;
    const isLatest = (): boolean => asked[0] === from.input.value && asked[1] === to.input.value;
    fill(found, h("p", {}, SHELL.loading));
    try {
      const [{ differences }, before, after] = await Promise.all([
        api.differences(farm.id, id, Number(asked[0]), asked[1] === DRAFT ? null : Number(asked[1])),
        saidOf(asked[0]),
        saidOf(asked[1]),
      ]);
      if (isLatest()) fill(found, differencesList(changedGroups(differences, before, after)));
    } catch (error) {
      if (isLatest()) fill(found, h("p", { class: "notice", "data-tone": "bad" }, sentence(error, SHELL.noAnswer)));
    }
  };
  for (const { input } of [from, to]) input.addEventListener("change", () => void draw());
  void draw();
  return h("div", {}, h("div", { class: "form versions-compared" }, from.box, to.box), found);
}

/** Show the screen. */
export function showCompare(root: HTMLElement, context: Context, api: BriefsApi, brief: string): Shown {
  const box = h("div", { class: "briefs" });
  const { farm, go } = context;
  const toBrief = { screen: "briefs", block: null, brief } as const;
  const read = async (): Promise<[WrittenBrief, string]> => {
    const written = await api.brief(farm.id, brief);
    const blocks = written.block_id === null ? [] : await blocksOf(context);
    return [written, subjectName(farm, blocks, written) ?? brief];
  };
  void drawRead(box, read, ([written, name]) => {
    const isBare = written.versions.length === 0;
    fill(
      box,
      placeLink(toBrief, COMPARE.back, go, { class: "back-link" }),
      h("h1", {}, COMPARE.title(name)),
      isBare ? emptyState(COMPARE.none, { label: COMPARE.back, run: () => go(toBrief) }) : choice(context, api, written),
    );
  }, () => go({ screen: "briefs", block: null }));
  fill(root, box);
  return STILL;
}
