/** A link that signs somebody in once: shown once, with a button to copy it. */

import { minutesLeft } from "../../core/door";
import { PEOPLE } from "../../core/people-wording";
import type { OneTimeLink } from "../../data/who-api";
import { h } from "../../ui/dom";
import { textField } from "../../ui/field";
import { notice } from "../../ui/notice";

/** Return the card with the link. */
export function linkCard(name: string, { link, expires_at }: OneTimeLink): HTMLElement {
  const said = notice();
  const field = textField(PEOPLE.linkFor(name), link, { readonly: true, class: "link-field" }, PEOPLE.linkOnce(minutesLeft(expires_at, Date.now())));
  field.input.addEventListener("focus", () => field.input.select());
  const copy = async (): Promise<void> => {
    try {
      await navigator.clipboard.writeText(link); // absent on plain http
      said.say(PEOPLE.copied, "good");
    } catch {
      field.input.focus();
      said.say(PEOPLE.notCopied);
    }
  };
  return h(
    "div",
    { class: "shown-once" },
    field.box,
    h("button", { type: "button", class: "main", on: { click: () => void copy() } }, PEOPLE.copy),
    said.box,
  );
}
