/** Crews with their people, and the PIN of each. */

import type { Person } from "../../core/contracts";
import { isPin, pinOf } from "../../core/door";
import { PEOPLE } from "../../core/people-wording";
import { ROLE, SHELL } from "../../core/wording";
import { sentence } from "../../data/request";
import type { WhoApi } from "../../data/who-api";
import { fill, h } from "../../ui/dom";
import { textField } from "../../ui/field";
import { notice, type Notice } from "../../ui/notice";
import type { Context } from "../context";

/** More bytes than digits, because some are passed over. */
const BYTES = 32;

function pinForm(context: Context, api: WhoApi, person: Person, done: (said: string) => void): HTMLElement {
  const said = notice();
  const pin = textField(PEOPLE.pin, "", { inputmode: "numeric", maxlength: 6, class: "pin-field" }, PEOPLE.pinHint);
  const makeUp = (): void => {
    pin.input.value = pinOf(crypto.getRandomValues(new Uint8Array(BYTES)));
    pin.complain("");
  };
  const keep = async (event: Event): Promise<void> => {
    event.preventDefault();
    const value = pin.input.value.trim();
    pin.complain(isPin(value) ? "" : PEOPLE.notPin);
    if (!isPin(value)) return pin.input.focus();
    try {
      await api.setPin(context.farm.id, person.id, value);
      done(PEOPLE.pinSet(person.name));
    } catch (error) {
      said.say(sentence(error, SHELL.noAnswer), "bad");
    }
  };
  queueMicrotask(() => pin.input.focus());
  return h(
    "form",
    { class: "line-form", novalidate: true, on: { submit: (event: Event) => void keep(event) } },
    pin.box,
    h(
      "div",
      { class: "line-buttons" },
      h("button", { type: "button", on: { click: makeUp } }, PEOPLE.makePin),
      h("button", { type: "submit", class: "main" }, PEOPLE.keepPin),
      h("button", { type: "button", class: "quiet", on: { click: () => done("") } }, PEOPLE.leave),
    ),
    said.box,
  );
}

function personLine(context: Context, api: WhoApi, person: Person, said: Notice): HTMLElement {
  const box = h("li", { class: "person" });
  const set = h("button", { type: "button", "aria-label": `${PEOPLE.setPin}: ${person.name}` }, PEOPLE.setPin);
  const close = (words: string): void => {
    fill(box, h("span", {}, `${person.name}, ${ROLE[person.role]}`), set);
    if (words !== "") said.say(words, "good");
    set.focus();
  };
  set.addEventListener("click", () => {
    fill(box, h("span", {}, `${person.name}, ${ROLE[person.role]}`), pinForm(context, api, person, close));
  });
  fill(box, h("span", {}, `${person.name}, ${ROLE[person.role]}`), set);
  return box;
}

/** Return the section. */
export function crewsAndPeople(context: Context, api: WhoApi): HTMLElement {
  const { crews, people } = context.farm;
  const said = notice();
  const toSetUp = (): void => context.go({ screen: "set-up", block: null });
  const group = (title: string, members: readonly Person[]): HTMLElement =>
    h(
      "section",
      {},
      h("h3", {}, title),
      members.length === 0
        ? h("p", {}, PEOPLE.none)
        : h("ul", { class: "plain-list" }, ...members.map((person) => personLine(context, api, person, said))),
    );
  const apart = people.filter((person) => !crews.some((crew) => crew.id === person.crew_id));
  return h(
    "section",
    { class: "people-part" },
    h("h2", {}, PEOPLE.people),
    said.box,
    ...crews.map((crew) => group(crew.name, people.filter((person) => person.crew_id === crew.id))),
    apart.length === 0 && crews.length > 0 ? null : group(PEOPLE.noCrew, apart),
    h("button", { type: "button", on: { click: toSetUp } }, PEOPLE.add),
  );
}
