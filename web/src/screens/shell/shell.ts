/** The frame around every screen: title block, the screens to go to, and in words how things stand with the service. */

import type { Access, Farm, FarmName, Who } from "../../core/contracts";
import { dayText } from "../../core/numbers";
import { isDoor, type Place } from "../../core/place";
import { QUEUE } from "../../core/queue-wording";
import { offeredScreens, roleAt } from "../../core/who";
import { SCREEN_WORD, SHELL } from "../../core/wording";
import { fill, fillKept, h } from "../../ui/dom";
import { atEdge } from "../../ui/edges";
import { keepInPlace } from "../../ui/keep-in-place";
import { languageChoice } from "./language-choice";
import { navigation } from "./navigation";
import { queueOf, type QueueActions } from "./queue";
import "./shell.css";
import { whoLine } from "./who-line";
import { bannersOf, connectionOf, lackingOf, lineOf, needsQueue, type Banner, type Standing } from "./standing";

export interface Shell {
  main: HTMLElement;
  /** Show the title block, who is here, and the screens of that role. */
  showFarm(farm: Farm | null, farms: readonly FarmName[], place: Place, who: Who | null): void;
  showStanding(standing: Standing): void;
  /** Say something that came about by itself; it stays for a while. */
  announce(text: string): void;
}
export interface ShellActions extends QueueActions {
  go(place: Place): void;
  pickFarm(id: string): void;
  speak(code: string): void;
}

function titleBlock(farm: Farm | null, farms: readonly FarmName[], actions: ShellActions): HTMLElement {
  const season = farm?.season ? farm.season.name : SHELL.noSeason;
  const name = farm?.name ?? SHELL.product;
  const several = farm !== null && farms.length > 1;
  const picker = h("select", { "aria-label": SHELL.farm, class: "farm-picker" });
  if (several) {
    for (const one of farms) picker.append(h("option", { value: one.id }, one.name));
    picker.value = farm.id;
    picker.addEventListener("change", () => actions.pickFarm(picker.value));
  }
  return h(
    "div",
    { class: "title-block" },
    several ? picker : h("p", { class: "farm-name" }, name),
    farm === null ? null : h("p", { class: "season-day" }, `${season} · ${dayText(farm.today)}`),
  );
}

const BANNER_BUTTON = { send: QUEUE.tryNow, queue: QUEUE.seeWhy, update: QUEUE.takeNow, load: QUEUE.loadAgain } as const;
const ANNOUNCED_MS = 12_000;

/** Put the frame into `root`. */
export function shellOf(root: HTMLElement, actions: ShellActions): Shell {
  const head = h("header", { class: "sheet-head" });
  const line = h("p", { class: "connection", role: "status" });
  const lacking = h("div", { class: "lacking" });
  const pressing = h("div", {});
  const announced = h("p", { class: "announced", role: "status" });
  const queue = queueOf(actions);
  const words = h("span", { role: "status" });
  const queueLine = h("div", { class: "queue-line" }, words, h("button", { type: "button", class: "quiet", on: { click: queue.open } }, QUEUE.see));
  const banners = atEdge("top", h("div", { class: "banners" }, queueLine, pressing, announced));
  const main = h("main", { id: "content", tabindex: "-1" });
  let standing: Standing | null = null;
  let told = "";
  let timer = 0;
  let zone = "UTC";
  /** Of whoever is here on the farm that is shown; null at the door. */
  let role: Access | null = null;
  fill(root, h("a", { class: "skip", href: "#content" }, SHELL.skip), head, banners, main, h("footer", {}, line, lacking, languageChoice(actions.speak)), queue.box);

  const run = (action: NonNullable<Banner["action"]>): void => {
    if (action === "send") actions.send();
    else if (action === "queue") queue.open();
    else if (action === "update") standing?.update?.();
    else location.reload();
  };
  const bannerBox = ({ strong, text, action }: Banner): HTMLElement =>
    h(
      "div",
      { class: "banner", role: "alert" },
      h("p", {}, strong === "" ? null : h("strong", {}, strong), ` ${text}`),
      action === null ? null : h("button", { type: "button", class: "main", on: { click: () => run(action) } }, BANNER_BUTTON[action]),
    );
  /** Texts are set only when they change: nothing is drawn again under a finger, nor read out again. */
  const say = (box: HTMLElement, text: string): void => {
    if (box.textContent !== text) box.textContent = text;
  };
  const draw = (now: Standing): void => {
    say(line, connectionOf(now, zone));
    line.dataset["state"] = now.answered === false ? "none" : "there";
    say(words, lineOf(now, zone, Date.now()));
    queueLine.hidden = !needsQueue(role, now.entries);
    queueLine.dataset["state"] = now.entries.some(({ state }) => state === "waiting") ? "waiting" : "sent";
    const shown = bannersOf(now, zone, Date.now());
    const all = JSON.stringify([shown, now.shortcomings]);
    if (all !== told) {
      told = all;
      keepInPlace(main, () => fillKept(pressing, shown, bannerBox));
      fill(lacking, ...lackingOf(now, shown).map((text) => h("p", {}, text)));
    }
    queue.draw(now, zone);
  };
  return {
    main,
    showFarm(farm, farms, place, who) {
      zone = farm?.time_zone ?? zone;
      role = farm !== null && who !== null && !isDoor(place.screen) ? roleAt(who, farm.id) : null;
      fill(
        head,
        titleBlock(farm, farms, actions),
        who === null ? null : whoLine(who, actions.go),
        role === null ? null : navigation(place, offeredScreens(role, who?.farms ?? []), actions.go),
      );
      document.title = [SCREEN_WORD[place.screen], farm?.name, SHELL.product].filter(Boolean).join(" · ");
      if (standing !== null) draw(standing);
    },
    showStanding(now) {
      standing = now;
      draw(now);
    },
    announce(text) {
      clearTimeout(timer);
      keepInPlace(main, () => fill(announced, text));
      timer = window.setTimeout(() => keepInPlace(main, () => fill(announced)), ANNOUNCED_MS);
    },
  };
}
