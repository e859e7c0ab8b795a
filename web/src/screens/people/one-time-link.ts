/** A link that signs somebody in once: shown once, with a button to copy it. */

import { minutesLeft } from "../../core/door";
import { PEOPLE } from "../../core/people-wording";
import type { OneTimeLink } from "../../data/who-api";
import { h } from "../../ui/dom";
import { copiedField } from "./copied-field";

/** Return the card with the link. */
export function linkCard(name: string, { link, expires_at }: OneTimeLink): HTMLElement {
  const hint = PEOPLE.linkOnce(minutesLeft(expires_at, Date.now()));
  return h("div", { class: "shown-once" }, ...copiedField(PEOPLE.linkFor(name), link, { hint, copy: PEOPLE.copy }));
}
