/** What a proposal would change, each block with its reasons, to take or to leave. */

import { changesOf, type Change, type Proposal } from "../../core/plan-queues";
import { PLAN } from "../../core/plan-wording";
import { h } from "../../ui/dom";
import { codeOf, crewName, type PlanDesk } from "./desk";

/** Return the part. */
export function proposalPart(desk: PlanDesk, proposal: Proposal, answer: { take(): void; leave(): void }): HTMLElement {
  const changes = changesOf(desk.plan, proposal);
  const words = ({ block, from, to, was, now }: Change): string =>
    from === to
      ? PLAN.changePlace(codeOf(desk, block), crewName(desk, to), was + 1, now + 1)
      : PLAN.change(codeOf(desk, block), crewName(desk, from), crewName(desk, to));
  const line = (change: Change): HTMLElement => h("li", {}, h("strong", {}, words(change)), h("span", {}, proposal.words[change.block] ?? ""));
  const moves = new Set(changes.map(({ block }) => block));
  const stays = [...proposal.queues.flatMap(({ crew_id, blocks }) => blocks.map((block) => [block, crew_id] as const)), ...proposal.open.map((block) => [block, null] as const)]
    .filter(([block]) => !moves.has(block))
    .map(([block, crew]) => h("li", {}, h("strong", {}, PLAN.stay(codeOf(desk, block), crewName(desk, crew))), h("span", {}, proposal.words[block] ?? "")));
  const take = h("button", { type: "button", class: "main", on: { click: answer.take } }, PLAN.take);
  return h(
    "section",
    { class: "plan-proposal" },
    h("h2", { tabindex: "-1" }, PLAN.proposal),
    h("p", {}, changes.length === 0 ? PLAN.proposalNone : PLAN.proposalCount(changes.length)),
    h("ul", { class: "plan-changes plain-list", tabindex: "0", "aria-label": PLAN.proposal }, ...changes.map(line)),
    stays.length === 0 ? null : h("details", {}, h("summary", {}, PLAN.stays(stays.length)), h("ul", { class: "plan-changes plain-list" }, ...stays)),
    h("div", { class: "line-buttons" }, changes.length === 0 ? null : take, h("button", { type: "button", on: { click: answer.leave } }, PLAN.leave)),
  );
}
