/** The first account of a service that has none, by the token it printed. */

import { DOOR } from "../../core/door-wording";
import { textField } from "../../ui/field";
import type { DoorScreen } from "../context";
import { showDoorForm } from "../sign-in/door-form";

/** Show the form; the token may stand in the address, after `#token=`. */
export const showFirstStart: DoorScreen = (root, door) => {
  const token = textField(DOOR.token, /[#&]token=([^&]+)/.exec(location.hash)?.[1] ?? "");
  const name = textField(DOOR.name, "", { autocomplete: "name" });
  const login = textField(DOOR.login, "", { autocomplete: "username", autocapitalize: "none" });
  const secret = { type: "password", autocomplete: "new-password" };
  const password = textField(DOOR.password, "", secret, DOOR.passwordHint);
  return showDoorForm(root, {
    title: DOOR.firstStart,
    lead: DOOR.firstStartLead,
    fields: [token, name, login, password],
    button: DOOR.make,
    async send() {
      const json = {
        token: token.input.value.trim(),
        name: name.input.value.trim(),
        login: login.input.value.trim(),
        password: password.input.value,
      };
      await door.request("/first-start", { method: "POST", json });
      door.entered();
    },
  });
};
