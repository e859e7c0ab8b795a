/** Signing in by login and password. */

import { DOOR } from "../../core/door-wording";
import { textField } from "../../ui/field";
import type { DoorScreen } from "../context";
import { showDoorForm } from "./door-form";

/** Show the form. */
export const showSignIn: DoorScreen = (root, door) => {
  const login = textField(DOOR.login, "", { autocomplete: "username", autocapitalize: "none" });
  const password = textField(DOOR.password, "", { type: "password", autocomplete: "current-password" });
  return showDoorForm(root, {
    title: DOOR.signIn,
    lead: "",
    fields: [login, password],
    button: DOOR.enter,
    async send() {
      const json = { login: login.input.value.trim(), password: password.input.value };
      await door.request("/sign-in", { method: "POST", json });
      door.entered();
    },
  });
};
