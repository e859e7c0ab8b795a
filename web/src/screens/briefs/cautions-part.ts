/** Which cautions stand on the card. */

import type { ReadyMadeBriefs } from "../../core/brief-contracts";
import { withCaution } from "../../core/brief-points";
import { REST } from "../../core/briefs-wording";
import { language } from "../../core/language";
import { h } from "../../ui/dom";
import type { Desk } from "./desk";

/** Return the part. Those of every brief can be added and not taken out. */
export function cautionsPart(desk: Desk, { cautions, briefs }: ReadyMadeBriefs): HTMLElement {
  const always = briefs[0]?.content.cautions ?? [];
  const order = cautions.map(({ key }) => key);
  const lines = cautions.map(({ key, sentences }) => {
    const tick = h("input", { type: "checkbox" });
    tick.checked = desk.content().cautions.includes(key);
    tick.disabled = tick.checked && always.includes(key);
    tick.addEventListener("change", () => desk.change({ cautions: withCaution(desk.content(), key, tick.checked, order) }));
    // metres from power lines are the farm's own, and filled in on the card
    const words = (sentences[language()] ?? sentences["en"] ?? key).replace("{clearance}", "…");
    const isAlways = always.includes(key) ? h("strong", {}, ` (${REST.always})`) : null;
    return h("label", { class: "radio caution-tick" }, tick, h("span", {}, words, isAlways));
  });
  return h("section", {}, h("h2", {}, REST.cautions), h("p", {}, REST.cautionsLead), ...lines);
}
