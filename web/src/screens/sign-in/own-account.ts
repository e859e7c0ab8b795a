/** One's own account: where one may work, another password, signing out. */

import type { FarmName, Who } from "../../core/contracts";
import { FIRST_PASSWORD, FORGOTTEN_PASSWORD } from "../../core/confirm-wording";
import { SIGN_IN } from "../../core/sign-in-wording";
import { SHELL } from "../../core/wording";
import { ACCESS, HERE } from "../../core/who-wording";
import { answered, type WhoApi } from "../../data/who-api";
import { fill, h } from "../../ui/dom";
import { textField } from "../../ui/field";
import { notice } from "../../ui/notice";
import type { Door } from "../context";
import { doorForm, refusal } from "./door-form";
import { newPassword } from "./password-fields";

/** What a new password is set by: the old one, a link that has just let in, or nothing where there is none yet. */
type SetBy = "old" | "link" | "first";
const BUTTON: Record<SetBy, string> = { old: SIGN_IN.change, link: FORGOTTEN_PASSWORD.set, first: FIRST_PASSWORD.set };
const DONE: Record<SetBy, string> = { old: SIGN_IN.changed, link: FIRST_PASSWORD.isSet, first: FIRST_PASSWORD.isSet };
const LEAD = { link: FORGOTTEN_PASSWORD.lead, first: FIRST_PASSWORD.none };

function setBy({ has_password, fresh_link }: Who): SetBy {
  return has_password === false ? "first" : fresh_link === true ? "link" : "old";
}

interface Asked {
  by?: SetBy;
  /** What is said from the beginning. */
  words?: string;
  isSet?: (() => void) | undefined;
}

function passwordForm(door: Door, api: WhoApi, { by = setBy(door.who), words = "", isSet }: Asked = {}): HTMLElement {
  const old = textField(SIGN_IN.oldPassword, "", { type: "password", autocomplete: "current-password" });
  const fresh = newPassword(SIGN_IN.newPassword, SIGN_IN.again);
  const form = doorForm({
    fields: by === "old" ? [old, ...fresh.fields] : fresh.fields,
    button: BUTTON[by],
    locked: SIGN_IN.change,
    check: () => fresh.check(door.who.login ?? ""),
    async send() {
      try {
        await api.changePassword(by === "old" ? old.input.value : null, fresh.value());
      } catch (error) {
        if (by !== "link" || !answered(error, 401)) throw error;
        const byOld = passwordForm(door, api, { by: "old", words: FORGOTTEN_PASSWORD.tooLate, isSet });
        section.replaceWith(byOld);
        byOld.querySelector("input")?.focus();
        return;
      }
      old.input.value = "";
      fresh.clear();
      // set once: there is no other to set here
      if (by !== "old") fill(section, title, form.said.box);
      form.said.say(DONE[by], "good");
      isSet?.();
    },
  });
  if (words !== "") form.said.say(words, "bad");
  const title = h("h2", {}, by === "link" ? FORGOTTEN_PASSWORD.title : SIGN_IN.ownPassword);
  const section = h("section", {}, title, by === "old" ? null : h("p", {}, LEAD[by]), form.box);
  return section;
}

/** Return what stands on the screen of somebody whom a one-time link has just let in: the password may be forgotten. */
export function afterLink(door: Door, api: WhoApi): HTMLElement[] {
  const { name, login } = door.who;
  const leave = h("button", { type: "button", on: { click: () => door.entered() } }, FORGOTTEN_PASSWORD.keep);
  const isSet = (): void => {
    leave.textContent = SIGN_IN.goOn;
    leave.className = "main";
    leave.focus();
  };
  return [h("h1", {}, SIGN_IN.signedIn(name, login)), passwordForm(door, api, { isSet }), leave];
}

/** Return the form for one more farm; its code is fetched when it is opened. */
function anotherFarm({ request, device, go }: Door): HTMLElement {
  const body = h("div", {});
  const made = ({ id }: FarmName): void => {
    device.set("farm", id);
    go({ screen: "set-up", block: null });
  };
  const open = async (): Promise<void> => {
    if (!box.open || body.hasChildNodes()) return;
    try {
      const { newFarmForm } = await import("../set-up/new-farm");
      fill(body, newFarmForm({ add: (farm) => request<FarmName>("/farms", { method: "POST", json: farm }), made }));
    } catch {
      fill(body, h("p", {}, SHELL.noAnswer));
    }
  };
  const box = h("details", { on: { toggle: () => void open() } }, h("summary", {}, HERE.anotherFarm), body);
  return box;
}

/** Return what stands on the screen of somebody who is signed in. */
export function ownAccount(door: Door, api: WhoApi): (HTMLElement | null)[] {
  const { name, login, farms } = door.who;
  const said = notice();
  const signOut = async (): Promise<void> => {
    try {
      await api.signOut();
      door.entered(); // asks anew who this is: nobody, so the form comes
    } catch (error) {
      said.say(refusal(error, { locked: SIGN_IN.signOut }), "bad");
    }
  };
  const lines = farms.map((farm) => h("li", {}, SIGN_IN.roleLine(farm.name, ACCESS[farm.role])));
  return [
    h("h1", {}, SIGN_IN.signedIn(name, login)),
    h("h2", {}, SIGN_IN.roles),
    lines.length === 0 ? h("p", {}, HERE.noFarm) : h("ul", { class: "plain-list" }, ...lines),
    h(
      "div",
      { class: "door-buttons" },
      h("button", { type: "button", class: "main", on: { click: () => door.entered() } }, SIGN_IN.goOn),
      h("button", { type: "button", on: { click: () => void signOut() } }, SIGN_IN.signOut),
    ),
    said.box,
    door.who.makes_farms ? anotherFarm(door) : null,
    passwordForm(door, api),
  ];
}
