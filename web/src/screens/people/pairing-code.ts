/** A pairing code, large, with the picture a camera reads and the minutes that are left. */

import { codeInGroups, isOwnMachine, minutesLeft } from "../../core/door";
import { PEOPLE } from "../../core/people-wording";
import type { PairCode } from "../../data/who-api";
import { fill, h } from "../../ui/dom";
import { pictureOf } from "../../ui/foreign-picture";

export interface CodeCard {
  box: HTMLElement;
  name: string;
  /** Draw the minutes left; false once the code is over. */
  tick(): boolean;
  used(): void;
}

/** Return the card. */
export function codeCard(name: string, { code, address, expires_at, qr_svg }: PairCode): CodeCard {
  const left = h("p", { class: "code-left", role: "status" });
  const page = address.split("#")[0] ?? address;
  const picture = pictureOf(qr_svg, PEOPLE.qrAlt);
  const box = h(
    "div",
    { class: "pairing-code" },
    h(
      "div",
      {},
      h("h3", {}, PEOPLE.code),
      h("p", {}, PEOPLE.codeFor(name), " ", h("strong", { class: "code-page" }, page)),
      isOwnMachine(address) ? h("p", { class: "notice", "data-tone": "bad" }, PEOPLE.ownMachine) : null,
      h("p", { class: "code-large" }, codeInGroups(code)),
      picture === null ? null : h("p", {}, PEOPLE.orScan),
      left,
    ),
    picture === null ? null : h("div", { class: "code-picture" }, picture),
  );
  let over = false;
  const say = (words: string): void => {
    if (left.textContent !== words) left.textContent = words;
  };
  const end = (words: string): void => {
    over = true;
    say(words);
    fill(box, left); // a code that is over is not shown on
  };
  const tick = (): boolean => {
    if (over) return false;
    const n = minutesLeft(expires_at, Date.now());
    if (n === 0) end(PEOPLE.codeLeft(0));
    else say(PEOPLE.codeLeft(n));
    return !over;
  };
  tick();
  return { box, name, tick, used: () => end(PEOPLE.codeUsed) };
}
