/** How far auditors agree on the trees that two of them looked at. */

import { count } from "../../core/numbers";
import type { AuditorPair, FarmAgreement } from "../../core/crew-contracts";
import { AUDITORS } from "../../core/quality-areas-wording";
import { TREE_VERDICT } from "../../core/wording";
import { h } from "../../ui/dom";
import { agreementFigures } from "./agreement-figures";
import { readingPart, type Part } from "./desk";
import { framedTable, line, paragraphs } from "./signs";

const CLASSES = [TREE_VERDICT.meets, TREE_VERDICT.minor, TREE_VERDICT.faulty] as const;

function pairSection(pair: AuditorPair): HTMLElement {
  const [first = "", second = ""] = pair.auditors.map(({ name }) => name);
  // a table of two classes tells good and faulty apart, and no minor faults
  const classes = pair.table.length === CLASSES.length ? CLASSES : [CLASSES[0], CLASSES[2]];
  const lines = pair.table.map((cells, at) => line(classes[at] ?? "", ...cells.map(count)));
  return h(
    "section",
    { class: "auditor-pair" },
    h("h2", {}, AUDITORS.pair(first, second)),
    agreementFigures(pair),
    h("p", {}, AUDITORS.table(first, second)),
    framedTable(AUDITORS.table(first, second), ["", ...classes], lines),
  );
}

function pointsSection({ points }: FarmAgreement): HTMLElement {
  const apart = points.filter(({ differ }) => differ > 0).sort((a, b) => b.differ - a.differ);
  const { pointColumns } = AUDITORS;
  const lines = apart.map(({ sentence, differ, trees }) => line(sentence, AUDITORS.differ(differ, trees)));
  return h(
    "section",
    {},
    h("h2", {}, AUDITORS.points),
    apart.length === 0 ? h("p", {}, AUDITORS.noDiffer) : framedTable(AUDITORS.points, [pointColumns.point, pointColumns.differ], lines),
  );
}

/** Show the part. */
export const showAuditors: Part = (root, { api, context }) =>
  readingPart(
    root,
    () => api.agreement(context.farm.id),
    (told) => [
      h("p", { class: "quality-lead" }, AUDITORS.lead),
      ...(told.trees === 0 ? [h("p", {}, AUDITORS.none)] : [...paragraphs(told.words), ...told.pairs.map(pairSection), pointsSection(told)]),
    ],
  );
