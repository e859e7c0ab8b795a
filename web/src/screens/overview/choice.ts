/** Whose work and whose blocks are looked at: one crew, one variety, or everything. */

import type { Farm } from "../../core/contracts";
import { CHOICE } from "../../core/glance-wording";
import { h } from "../../ui/dom";
import { choiceField } from "../../ui/field";

/** Ids, as the address names them. */
export interface ChosenIds {
  crew: string | null;
  variety: string | null;
}

/** Return the two lists and the way back to everything. */
export function choiceFields({ crews, varieties }: Farm, begin: ChosenIds, changed: (now: ChosenIds) => void): HTMLElement {
  const byName = (all: string, of: readonly { id: string; name: string }[]) => [
    { value: "", label: all },
    ...[...of].sort((a, b) => a.name.localeCompare(b.name)).map(({ id, name }) => ({ value: id, label: name })),
  ];
  const crew = choiceField(CHOICE.crew, byName(CHOICE.allCrews, crews), begin.crew ?? "");
  const variety = choiceField(CHOICE.variety, byName(CHOICE.allVarieties, varieties), begin.variety ?? "");
  const everything = h("button", { type: "button" }, CHOICE.everything);
  const told = (): void => {
    everything.hidden = crew.input.value === "" && variety.input.value === "";
    changed({ crew: crew.input.value || null, variety: variety.input.value || null });
  };
  for (const { input } of [crew, variety]) input.addEventListener("change", told);
  everything.addEventListener("click", () => {
    crew.input.value = variety.input.value = "";
    crew.input.focus();
    told();
  });
  everything.hidden = begin.crew === null && begin.variety === null;
  return h("div", { class: "choice" }, crew.box, variety.box, everything);
}
