/** One's own account: where one may work, another password, signing out. */

import { FIRST_PASSWORD } from "../../core/confirm-wording";
import { ACCESS, SIGN_IN } from "../../core/who-wording";
import type { WhoApi } from "../../data/who-api";
import { fill, h } from "../../ui/dom";
import { textField } from "../../ui/field";
import { notice } from "../../ui/notice";
import type { Door } from "../context";
import { doorForm, refusal } from "./door-form";
import { newPassword } from "./password-fields";

function passwordForm(door: Door, api: WhoApi): HTMLElement {
  const hasOld = door.who.has_password !== false;
  const old = textField(SIGN_IN.oldPassword, "", { type: "password", autocomplete: "current-password" });
  const fresh = newPassword(SIGN_IN.newPassword, SIGN_IN.again);
  const form = doorForm({
    fields: hasOld ? [old, ...fresh.fields] : fresh.fields,
    button: hasOld ? SIGN_IN.change : FIRST_PASSWORD.set,
    locked: SIGN_IN.change,
    check: () => fresh.check(door.who.login ?? ""),
    async send() {
      await api.changePassword(hasOld ? old.input.value : null, fresh.value());
      old.input.value = "";
      fresh.clear();
      if (!hasOld) fill(section, title, form.said.box); // the first one is set: there is no other to set here
      form.said.say(hasOld ? SIGN_IN.changed : FIRST_PASSWORD.isSet, "good");
    },
  });
  const title = h("h2", {}, SIGN_IN.ownPassword);
  const section = h("section", {}, title, hasOld ? null : h("p", {}, FIRST_PASSWORD.none), form.box);
  return section;
}

/** Return what stands on the screen of somebody who is signed in. */
export function ownAccount(door: Door, api: WhoApi): HTMLElement[] {
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
    lines.length === 0 ? h("p", {}, SIGN_IN.noFarm) : h("ul", { class: "plain-list" }, ...lines),
    h(
      "div",
      { class: "door-buttons" },
      h("button", { type: "button", class: "main", on: { click: () => door.entered() } }, SIGN_IN.goOn),
      h("button", { type: "button", on: { click: () => void signOut() } }, SIGN_IN.signOut),
    ),
    said.box,
    passwordForm(door, api),
  ];
}
