/** Six digits on large keys, for cold fingers; the keyboard's digits work too. */

import { isPin, pinWith } from "../core/door";
import { HOLDER } from "../core/pair-wording";
import { fill, h } from "./dom";

const DIGITS = ["1", "2", "3", "4", "5", "6", "7", "8", "9", "0"];
const LENGTH = 6;

export interface PinPad {
  box: HTMLElement;
  focus(): void;
  /** Take no digit for so long, then let `over` know. */
  rest(seconds: number, over: () => void): void;
}

/** Return the pad; `whole` hears the PIN with its last digit, and the pad takes none until it is done. */
export function pinPad(label: string, whole: (pin: string) => Promise<void>): PinPad {
  let entered = "";
  let busy = false;
  let rests = false;
  const marks = h("span", { class: "pin-marks", "aria-hidden": "true" });
  const words = h("span", { class: "unseen", role: "status" });
  const draw = (): void => {
    fill(marks, ...DIGITS.slice(0, LENGTH).map((_, at) => h("i", { class: at < entered.length ? "pin-set" : "" })));
    words.textContent = HOLDER.entered(entered.length);
  };
  const take = (next: string): void => {
    if (busy || rests) return;
    entered = next;
    draw();
    if (!isPin(entered)) return;
    busy = true;
    void whole(entered).finally(() => {
      busy = false;
      entered = "";
      draw();
    });
  };
  const key = (text: string, name: string, run: () => void): HTMLButtonElement =>
    h("button", { type: "button", class: "pin-key", "aria-label": name === text ? null : name, on: { click: run } }, text);
  const keys = DIGITS.map((digit) => key(digit, digit, () => take(pinWith(entered, digit))));
  keys.at(-1)?.classList.add("pin-zero");
  const back = key(HOLDER.backSign, HOLDER.back, () => take(entered.slice(0, -1)));
  const box = h(
    "div",
    {
      class: "pin-pad",
      role: "group",
      "aria-label": label,
      on: {
        keydown: (event: KeyboardEvent) => {
          if (/^\d$/.test(event.key)) take(pinWith(entered, event.key));
          else if (event.key === "Backspace") take(entered.slice(0, -1));
        },
      },
    },
    h("p", { class: "pin-line" }, marks, words),
    h("div", { class: "pin-keys" }, ...keys, back),
  );
  draw();
  return {
    box,
    focus: () => keys[0]?.focus({ preventScroll: true }),
    rest(seconds, over) {
      const turn = (resting: boolean): void => {
        rests = resting;
        for (const one of [...keys, back]) one.disabled = resting;
      };
      turn(true);
      setTimeout(() => {
        turn(false);
        over();
      }, 1000 * seconds);
    },
  };
}
