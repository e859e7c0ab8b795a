/** Who checks with this device; kept as ids only. */

import { CHECKS } from "../../core/checks-wording";
import type { CheckLine } from "../../core/contracts";
import type { LotPack } from "../../core/quality-contracts";
import { withoutOwnTrees } from "../../core/walk-standing";
import { auditorHere, auditorNow, auditorsOf, type Picked } from "../../core/who-checks";
import { h } from "../../ui/dom";
import { choiceField } from "../../ui/field";
import type { Context } from "../context";

function keep({ device }: Context, { id, by }: Picked): void {
  device.set("auditor", id);
  device.set("auditorBy", by);
}

/** Return the id of whoever checks, or null. Without a connection names are not known here, and the id is trusted. */
export function auditorId(context: Context): string | null {
  const { device, who, farm, holding } = context;
  const picked = { id: device.get("auditor"), by: device.get("auditorBy") };
  const now = auditorNow(auditorHere(holding.known(who), farm.people), picked);
  if (now !== picked) keep(context, now);
  const isThere = farm.people.length === 0 || auditorsOf(farm.people).some(({ id }) => id === now.id);
  return isThere ? now.id : null;
}

/** Return the name of whoever checks, or the words for one whose name is not known here. */
export function auditorName(context: Context): string {
  const id = auditorId(context);
  if (id === null) return CHECKS.noName;
  return context.farm.people.find((person) => person.id === id)?.name ?? CHECKS.nameLater;
}

/** Return a lot without the trees that whoever checks here judged first. */
export function withoutOwn(context: Context, lot: LotPack, checks: readonly CheckLine[]): LotPack {
  const id = auditorId(context);
  const auditors = auditorsOf(context.farm.people);
  const name = auditors.find((one) => one.id === id)?.name ?? "";
  const isOnly = name !== "" && auditors.filter((one) => one.name === name).length === 1;
  return withoutOwnTrees(lot, checks, context.sending.entries(), { id, name: isOnly ? name : null });
}

/** Return the choice of the auditor. */
export function auditorChoice(context: Context): HTMLElement {
  const auditors = auditorsOf(context.farm.people);
  const now = auditorId(context);
  if (auditors.length === 0) return h("p", {}, now === null ? CHECKS.noAuditors : `${CHECKS.auditor}: ${CHECKS.nameLater}.`);
  const field = choiceField(
    CHECKS.whichAuditor,
    [{ value: "", label: CHECKS.noName }, ...auditors.map(({ id, name }) => ({ value: id, label: name }))],
    now ?? "",
  );
  field.input.addEventListener("change", () =>
    keep(context, { id: field.input.value === "" ? null : field.input.value, by: context.device.get("auditorBy") }),
  );
  return h("div", { class: "auditor" }, field.box);
}
