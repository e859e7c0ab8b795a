/** The first account of a service that has none, by the token it printed. */

import { FIRST_START } from "../../core/sign-in-wording";
import { answered, whoApi } from "../../data/who-api";
import { fill, h } from "../../ui/dom";
import { textField } from "../../ui/field";
import { takeFragment } from "../../ui/fragment";
import { emptyState } from "../../ui/notice";
import { STILL, type Door, type DoorScreen } from "../context";
import { doorForm, filled } from "../sign-in/door-form";
import { newPassword } from "../sign-in/password-fields";

function firstForm(door: Door, taken: string | null): HTMLElement {
  const api = whoApi(door.request);
  const hint = taken === null ? "" : FIRST_START.tokenTaken;
  const token = textField(FIRST_START.token, taken ?? "", { autocapitalize: "none", spellcheck: "false" }, hint);
  const name = textField(FIRST_START.name, "", { autocomplete: "name", maxlength: 200 });
  const plain = { autocomplete: "username", autocapitalize: "none", spellcheck: "false", maxlength: 200 };
  const login = textField(FIRST_START.login, "", plain, FIRST_START.loginHint);
  const password = newPassword(FIRST_START.password, FIRST_START.again);
  return doorForm({
    fields: [token, name, login, ...password.fields],
    button: FIRST_START.make,
    locked: FIRST_START.make,
    check() {
      const whole = [
        filled(token, FIRST_START.noToken),
        filled(name, FIRST_START.noName),
        filled(login, FIRST_START.noLogin),
        password.check(login.input.value),
      ];
      return whole.every(Boolean);
    },
    async send() {
      try {
        await api.firstStart({
          token: token.input.value.trim(),
          login: login.input.value.trim(),
          name: name.input.value.trim(),
          password: password.value(),
        });
      } catch (error) {
        if (answered(error, 401)) token.complain(FIRST_START.noToken);
        throw error;
      }
      door.entered();
    },
  }).box;
}

/** Show the form; where somebody has an account already, say so. */
export const showFirstStart: DoorScreen = (root, door) => {
  const taken = takeFragment("token");
  const toSignIn = { label: FIRST_START.toSignIn, run: () => door.go({ screen: "sign-in", block: null }) };
  const due = door.who.state === "first_start";
  fill(
    root,
    h(
      "div",
      { class: "door" },
      h("h1", {}, FIRST_START.title),
      due ? h("p", {}, FIRST_START.lead) : emptyState(FIRST_START.over, toSignIn),
      due ? firstForm(door, taken) : null,
    ),
  );
  return STILL;
};
