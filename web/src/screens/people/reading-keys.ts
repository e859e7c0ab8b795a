/** Reading keys: by each a program reads the farm; made, shown once, listed with their last use, ended at once. */

import { isOwnMachine } from "../../core/door";
import { wallTime } from "../../core/local-time";
import { momentText } from "../../core/numbers";
import { goodFirst, keyFacts, KEYS, type KeySight, type ReadingKey } from "../../core/reading-keys-wording";
import { dayOn } from "../../core/season-days";
import { SHELL } from "../../core/wording";
import { keysApi, type KeysApi, type NewKey } from "../../data/reading-keys-api";
import { sentence } from "../../data/request";
import { fill, h } from "../../ui/dom";
import { choiceField, dayField, textField } from "../../ui/field";
import { notice } from "../../ui/notice";
import type { Context } from "../context";
import { filled } from "../sign-in/door-form";
import { copiedField } from "./copied-field";
import { drawLines, unreadLines } from "./lines";
import { sure } from "./sure";

const A_YEAR = 365;

function keyCard({ reading_key, key, address }: NewKey): HTMLElement {
  return h(
    "div",
    { class: "shown-once" },
    ...copiedField(KEYS.keyFor(reading_key.name), key, { hint: KEYS.once, copy: KEYS.copyKey }),
    ...copiedField(KEYS.address, address, { hint: KEYS.addressHint, copy: KEYS.copyAddress, main: false }),
    isOwnMachine(address) ? h("p", { class: "notice", "data-tone": "bad" }, KEYS.ownMachine) : null,
    h("p", {}, KEYS.byPassword),
    h("p", {}, KEYS.byHeader),
  );
}

function keyLine(context: Context, key: ReadingKey, end: () => Promise<void>): HTMLElement {
  const { time_zone } = context.farm;
  const dayOf = (iso: string): string => wallTime(time_zone, Date.parse(iso)).slice(0, 10);
  return h(
    "li",
    { class: "reading-key", "data-over": String(!key.is_good) },
    h("p", { class: "line-text" }, h("strong", {}, key.name), h("span", {}, keyFacts(key, dayOf, (iso) => momentText(iso, time_zone)))),
    key.is_good
      ? sure({ button: KEYS.end, label: `${KEYS.end}: ${key.name}`, question: KEYS.endSure(key.name), yes: KEYS.endYes(key.name), run: end })
      : null,
  );
}

function keyForm(context: Context, api: KeysApi, made: (key: NewKey) => Promise<void>): HTMLDetailsElement {
  const name = textField(KEYS.name, "", { maxlength: 200 }, KEYS.nameHint);
  const all: KeySight = "all";
  const sees = choiceField(KEYS.sees, Object.entries(KEYS.sight).map(([value, label]) => ({ value, label })), all);
  const { today } = context.farm;
  const endsOn = dayField(KEYS.endsOn, dayOn(today, A_YEAR), { min: today, max: dayOn(today, 5 * A_YEAR) });
  const said = notice();
  const make = async (event: Event): Promise<void> => {
    event.preventDefault();
    const isDay = endsOn.input.value !== "" && endsOn.input.validity.valid;
    endsOn.complain(isDay ? "" : KEYS.noDay);
    if (!filled(name, KEYS.noName) || !isDay) return;
    try {
      const sight: KeySight = sees.input.value === "work" ? "work" : "all";
      const key = await api.make({ name: name.input.value.trim(), sees: sight, ends_on: endsOn.input.value });
      name.input.value = "";
      said.say("");
      await made(key);
    } catch (error) {
      said.say(sentence(error, SHELL.noAnswer), "bad");
    }
  };
  return h(
    "details",
    {},
    h("summary", {}, KEYS.another),
    h(
      "form",
      { class: "form", novalidate: true, on: { submit: (event: Event) => void make(event) } },
      name.box,
      sees.box,
      endsOn.box,
      h("button", { type: "submit" }, KEYS.make),
    ),
    said.box,
  );
}

/** Return the section; it reads what is there by itself. */
export function readingKeys(context: Context): HTMLElement {
  const api = keysApi(context.request, context.farm.id);
  const said = notice();
  const list = unreadLines(SHELL.loading);
  const once = h("div", { role: "status" });
  let shown = "";
  let isRead = false;
  const end = async (key: ReadingKey): Promise<void> => {
    await api.end(key.id);
    if (shown === key.id) fill(once); // what opens nothing any more is not shown on
    said.say(KEYS.ended(key.name), "good");
    await read();
  };
  const read = async (): Promise<void> => {
    try {
      const { reading_keys } = await api.keys();
      isRead = true;
      drawLines(list, goodFirst(reading_keys), KEYS.none, (key) => keyLine(context, key, () => end(key)));
    } catch (error) {
      if (!isRead) fill(list);
      said.say(sentence(error, SHELL.noAnswer), "bad");
    }
  };
  const made = async (key: NewKey): Promise<void> => {
    shown = key.reading_key.id;
    said.say("");
    fill(once, keyCard(key));
    once.scrollIntoView({ block: "nearest" });
    await read();
  };
  const form = keyForm(context, api, made);
  const box = h(
    "section",
    { class: "people-part", id: "reading-keys" },
    h("h2", {}, KEYS.title),
    h("p", {}, KEYS.lead, " ", KEYS.stays),
    list,
    said.box,
    once,
    form,
  );
  const begin = async (): Promise<void> => {
    const isAskedFor = context.place.part === "keys";
    form.open = isAskedFor;
    await read();
    if (!isAskedFor) return;
    box.scrollIntoView({ block: "start" });
    form.querySelector("summary")?.focus({ preventScroll: true });
  };
  void begin();
  return box;
}
