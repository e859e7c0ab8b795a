/** The frame around every screen: title block with farm, season and day, four words to go to, connection in words. */

import type { Farm, FarmName, Who } from "../../core/contracts";
import { dayText, hourText } from "../../core/numbers";
import { addressOf, isDoor, type FarmScreen, type Place } from "../../core/place";
import { roleAt, roleScreens } from "../../core/who";
import { HERE } from "../../core/who-wording";
import { SCREEN_WORD, SHELL } from "../../core/wording";
import type { Sending } from "../../data/sending";
import { fill, h } from "../../ui/dom";
import { keepInPlace } from "../../ui/keep-in-place";
import "./shell.css";

export interface Connection {
  answered: boolean | null;
  lastAnswer: Date | null;
}
export interface Shell {
  main: HTMLElement;
  /** Show the title block, who is here, and the screens of that role. */
  showFarm(farm: Farm | null, farms: readonly FarmName[], place: Place, who: Who | null): void;
  showConnection(connection: Connection, sending: Sending): void;
  /** Say something that came about by itself; it stays for a while. */
  announce(text: string): void;
}
export interface ShellActions {
  go(place: Place): void;
  pickFarm(id: string): void;
  tryAgain(): void;
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

function navigation(place: Place, screens: readonly FarmScreen[], actions: ShellActions): HTMLElement {
  const links = screens.map((screen) => {
    const to: Place = { screen, block: screen === "rows" || screen === "checks" ? place.block : null };
    return h(
      "a",
      {
        href: addressOf(to),
        class: "nav-word",
        "aria-current": screen === place.screen ? "page" : null,
        on: {
          click: (event: MouseEvent) => {
            if (event.metaKey || event.ctrlKey || event.shiftKey || event.button !== 0) return;
            event.preventDefault();
            actions.go(to);
          },
        },
      },
      SCREEN_WORD[screen],
    );
  });
  return h("nav", { "aria-label": SHELL.screens }, ...links);
}

/** Say who is here; a touch leads to one's own account, or to whose hand the tablet is in. */
function whoLine({ state, name, device }: Who, actions: ShellActions): HTMLElement | null {
  const tablet = state === "device" && device !== null;
  if (!tablet && (state !== "account" || name === "")) return null;
  const words = tablet ? HERE.tablet(device.name, device.holder?.name ?? null) : name;
  const to: Place = { screen: tablet ? "pair" : "sign-in", block: null };
  const go = (event: MouseEvent): void => {
    event.preventDefault();
    actions.go(to);
  };
  return h("a", { href: addressOf(to), class: "who-here", title: tablet ? HERE.change : HERE.account, on: { click: go } }, words);
}

function unsavedBanner(sending: Sending, actions: ShellActions): HTMLElement[] {
  const lines: HTMLElement[] = [];
  const parcels = sending.unsaved();
  const waiting = parcels
    .filter((parcel) => parcel.fate.state === "not-sent")
    .reduce((sum, parcel) => sum + parcel.records.values.length, 0);
  if (waiting > 0) {
    lines.push(
      h(
        "div",
        { class: "banner", role: "alert" },
        h("p", {}, h("strong", {}, SHELL.unsaved(waiting)), ` ${SHELL.keepOpen}`),
        h("button", { type: "button", class: "main", on: { click: actions.tryAgain } }, SHELL.tryAgain),
      ),
    );
  }
  for (const { fate } of parcels) {
    if (fate.state !== "refused") continue;
    lines.push(
      h(
        "div",
        { class: "banner", role: "alert" },
        h("p", {}, SHELL.refused(fate.problem.message)),
        h("button", { type: "button", on: { click: () => sending.forgetRefused() } }, SHELL.understood),
      ),
    );
  }
  return lines;
}

const ANNOUNCED_MS = 12_000;

/** Put the frame into `root`. */
export function shellOf(root: HTMLElement, actions: ShellActions): Shell {
  const head = h("header", { class: "sheet-head" });
  const line = h("p", { class: "connection", role: "status" });
  const unsaved = h("div", {});
  const announced = h("p", { class: "announced", role: "status" });
  const banners = h("div", { class: "banners" }, unsaved, announced);
  let told = "";
  let timer = 0;
  const main = h("main", { id: "content", tabindex: "-1" });
  let zone = "UTC";
  fill(root, h("a", { class: "skip", href: "#content" }, SHELL.skip), head, banners, main, h("footer", {}, line));
  return {
    main,
    showFarm(farm, farms, place, who) {
      zone = farm?.time_zone ?? zone;
      const role = farm === null || who === null || isDoor(place.screen) ? null : roleAt(who, farm.id);
      fill(
        head,
        titleBlock(farm, farms, actions),
        who === null ? null : whoLine(who, actions),
        role === null ? null : navigation(place, roleScreens(role), actions),
      );
      document.title = [SCREEN_WORD[place.screen], farm?.name, SHELL.product].filter(Boolean).join(" · ");
    },
    showConnection({ answered, lastAnswer }, sending) {
      const words =
        answered === null
          ? SHELL.connecting
          : answered
            ? SHELL.connected(hourText((lastAnswer ?? new Date()).toISOString(), zone))
            : SHELL.noConnection;
      if (line.textContent !== words) line.textContent = words;
      line.dataset["state"] = answered === false ? "none" : "there";
      const lines = unsavedBanner(sending, actions);
      const now = lines.map((one) => one.textContent).join();
      if (now === told) return; // not drawn again under a finger, nor read out again
      told = now;
      keepInPlace(main, () => fill(unsaved, ...lines));
    },
    announce(text) {
      clearTimeout(timer);
      keepInPlace(main, () => fill(announced, text));
      timer = window.setTimeout(() => keepInPlace(main, () => fill(announced)), ANNOUNCED_MS);
    },
  };
}
