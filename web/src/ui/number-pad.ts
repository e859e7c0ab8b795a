/** A pad of large digits, so that the tablet's own keyboard stays away. */

import { measureText } from "../core/typed-measure";
import { h } from "./dom";

export interface PadWords {
  label: string;
  delete: string;
  /** The word between two numbers; its key is left out where only one number is typed. */
  to?: string;
  /** The name of the decimal sign's key, where numbers have parts. */
  point?: string;
}

const DECIMAL = measureText(0.5).charAt(1);

/** Return the pad; `typed` hears the whole text after every touch. */
export function numberPad(words: PadWords, typed: (text: string) => void): { box: HTMLElement; clear(): void } {
  let text = "";
  const set = (now: string): void => {
    text = now;
    typed(text);
  };
  const key = (label: string, name: string | null, click: () => void): HTMLElement =>
    h("button", { type: "button", class: "pad-key", "aria-label": name, on: { click } }, label);
  const digit = (n: number): HTMLElement => key(String(n), null, () => set(`${text}${n}`));
  const { to: between = null, point = null } = words;
  const corner = (): HTMLElement => {
    if (between !== null) return key(between, null, () => (/\d$/.test(text) && !text.includes("-") ? set(`${text}-`) : undefined));
    if (point === null) return h("span", {});
    return key(DECIMAL, point, () => (text.includes(DECIMAL) ? undefined : set(`${text}${DECIMAL}`)));
  };
  return {
    box: h(
      "div",
      { class: "number-pad", role: "group", "aria-label": words.label },
      ...[1, 2, 3, 4, 5, 6, 7, 8, 9].map(digit),
      corner(),
      digit(0),
      key("⌫", words.delete, () => set(text.slice(0, -1))),
    ),
    clear: () => set(""),
  };
}
