/** Who is here, as the frame says it. */

import type { Who } from "../../core/contracts";
import { addressOf, type Place } from "../../core/place";
import { HERE } from "../../core/who-wording";
import { h } from "../../ui/dom";

/** Return the line; a touch leads to one's own account, or to whose hand the tablet is in. */
export function whoLine({ state, name, device }: Who, go: (to: Place) => void): HTMLElement | null {
  const tablet = state === "device" ? device : null;
  if (tablet === null && (state !== "account" || name === "")) return null;
  const words = tablet === null ? name : HERE.tablet(tablet.name, tablet.holder?.name ?? null);
  const to: Place = { screen: tablet === null ? "sign-in" : "pair", block: null };
  const click = (event: MouseEvent): void => {
    event.preventDefault();
    go(to);
  };
  return h("a", { href: addressOf(to), class: "who-here", title: tablet === null ? HERE.account : HERE.change, on: { click } }, words);
}
