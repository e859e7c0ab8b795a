/** A box to tick with its words beside it. */

import { h } from "../../ui/dom";

/** Return the box and its input. */
export function choiceBox(label: string, key: string): { box: HTMLElement; input: HTMLInputElement } {
  const input = h("input", { type: "checkbox", "data-key": key });
  return { box: h("label", { class: "draft-take" }, input, h("span", {}, label)), input };
}
