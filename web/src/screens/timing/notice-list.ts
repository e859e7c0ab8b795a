/** The notices in full: what is at risk, by which limit, and by whose finding. */

import { language } from "../../core/language";
import { degrees, inLanguage, type Notice } from "../../core/timing";
import { TIMING } from "../../core/timing-wording";
import { h } from "../../ui/dom";

function card(one: Notice): HTMLElement {
  const said = (sentences: Record<string, string>): string => inLanguage(sentences, language());
  const limits = Object.entries(one.settings).map(([name, value]) => TIMING.limit(name, degrees(value)));
  return h(
    "li",
    { class: "timing-notice", "data-level": one.level },
    h("h3", {}, said(one.title), " ", h("span", { class: "timing-level" }, TIMING.level[one.level])),
    h("p", {}, said(one.text)),
    h(
      "p",
      { class: "timing-source" },
      limits.length === 0 ? "" : `${TIMING.goesBy(limits.join("; "))} `,
      `${TIMING.source(one.source)} ${said(one.defers)}`,
    ),
  );
}

/** Return the list, or why there is none. */
export function noticeList(notices: readonly Notice[], hasWeather: boolean): HTMLElement[] {
  const none = hasWeather ? TIMING.noNotice : TIMING.noWeather;
  return [
    h("h2", {}, TIMING.notices),
    ...(hasWeather || notices.length === 0 ? [] : [h("p", {}, TIMING.noWeather)]),
    notices.length === 0 ? h("p", {}, none) : h("ul", { class: "plain-list" }, ...notices.map(card)),
  ];
}
