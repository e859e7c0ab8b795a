/** Who holds this tablet: a name and a PIN, changed whenever it goes to another hand. */

import type { Who } from "../../core/contracts";
import { HOLDER } from "../../core/pair-wording";
import { SHELL } from "../../core/wording";
import { NoAnswer, sentence } from "../../data/request";
import type { Holding } from "../../data/holding";
import { answered, lockedFor_s, type NamedPerson, type WhoApi } from "../../data/who-api";
import { fill, h } from "../../ui/dom";
import { notice } from "../../ui/notice";
import { pinPad } from "../../ui/pin-pad";
import { settle } from "../../ui/settling";
import { refusal } from "../sign-in/door-form";

/** Return the section; `goOn` leads to the work. */
export function holderSection(who: Who, api: WhoApi, holding: Holding, goOn: () => void): HTMLElement {
  const box = h("section", { class: "holder" });
  const said = notice();
  const onward = (words: string, main: boolean): HTMLElement =>
    h("button", { type: "button", class: main ? "main" : "quiet", on: { click: goOn } }, words);

  const showHeld = (name: string): void =>
    fill(
      box,
      h("h2", {}, HOLDER.holds(name)),
      said.box,
      h("div", { class: "door-buttons" }, onward(HOLDER.goOn, true), h("button", { type: "button", on: { click: () => void giveBack() } }, HOLDER.change)),
    );
  const giveBack = async (): Promise<void> => {
    if (who.device === null) return;
    holding.giveBack(who.device.id);
    said.say(HOLDER.given);
    // the service hears of it now or later; nobody waits for that
    void holding.settle();
    await showNames();
  };
  const showPad = (person: NamedPerson): void => {
    const pad = pinPad(HOLDER.pinOf(person.name), async (pin) => {
      try {
        await holding.take(() => api.takeTablet(person.id, pin));
        said.say("");
        showHeld(person.name);
        settle(box);
      } catch (error) {
        said.say(answered(error, 401) ? HOLDER.wrong : refusal(error, { locked: HOLDER.locked }), "bad");
        const wait_s = lockedFor_s(error);
        if (wait_s !== null) pad.rest(wait_s, () => said.say(HOLDER.again));
      }
    });
    said.say("");
    const others = h("button", { type: "button", on: { click: () => void showNames() } }, HOLDER.otherName);
    fill(box, h("h2", {}, HOLDER.pinOf(person.name)), h("div", { class: "said-here" }, said.box), pad.box, h("div", { class: "door-buttons" }, others));
    settle(box, pad.focus);
  };
  const nameButton = (person: NamedPerson): HTMLElement =>
    h(
      "button",
      { type: "button", disabled: !person.has_pin, on: { click: () => showPad(person) } },
      person.name,
      person.has_pin ? null : h("span", { class: "no-pin" }, HOLDER.noPin),
    );
  const showNames = async (): Promise<void> => {
    const list = h("div", { class: "who" }, h("p", {}, SHELL.loading));
    fill(box, h("h2", {}, HOLDER.title), h("p", {}, HOLDER.lead), said.box, list, onward(HOLDER.without, false));
    try {
      const { people } = await api.holders();
      fill(list, ...(people.length === 0 ? [h("p", {}, HOLDER.none)] : people.map(nameButton)));
    } catch (error) {
      fill(list, h("button", { type: "button", on: { click: () => void showNames() } }, SHELL.tryAgain));
      if (error instanceof NoAnswer) said.say(HOLDER.noNames);
      else said.say(sentence(error, SHELL.noAnswer), "bad");
    }
  };
  const holder = who.device?.holder ?? null;
  if (holder === null) void showNames();
  else showHeld(holder.name);
  return box;
}
