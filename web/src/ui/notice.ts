/** Sentences for the reader: what happened, what is empty, what failed and how to try again. */

import { fill, h } from "./dom";

export type Tone = "plain" | "good" | "bad";

export interface Notice {
  box: HTMLElement;
  say(text: string, tone?: Tone): void;
}

/** Return a line that is read out when its text changes. */
export function notice(): Notice {
  const box = h("p", { class: "notice", role: "status", "aria-live": "polite" });
  return {
    box,
    say(text, tone = "plain") {
      fill(box, text);
      box.dataset["tone"] = tone;
    },
  };
}

/** Return an empty state: what is missing, and the button that leads to where it is mended. */
export function emptyState(text: string, action?: { label: string; run: () => void }): HTMLElement {
  return h(
    "div",
    { class: "empty" },
    h("p", {}, text),
    action ? h("button", { type: "button", class: "main", on: { click: action.run } }, action.label) : null,
  );
}
