/** The question for one's own password, over whatever screen is there. */

import { CONFIRM } from "../../core/confirm-wording";
import type { Request } from "../../data/request";
import { whoApi } from "../../data/who-api";
import { h } from "../../ui/dom";
import { textField } from "../../ui/field";
import { doorForm } from "../sign-in/door-form";
import "./confirm.css";

/** Ask; the promise tells whether the service took the password. */
export function askForPassword(request: Request): Promise<boolean> {
  const api = whoApi(request);
  const password = textField(CONFIRM.password, "", { type: "password", autocomplete: "current-password" });
  let given = false;
  const form = doorForm({
    fields: [password],
    button: CONFIRM.give,
    locked: CONFIRM.locked,
    check() {
      const isEmpty = password.input.value === "";
      password.complain(isEmpty ? CONFIRM.none : "");
      return !isEmpty;
    },
    async send() {
      try {
        await api.confirm(password.input.value);
      } catch (error) {
        password.input.value = "";
        password.input.focus();
        throw error;
      }
      given = true;
      box.close();
    },
  });
  const leave = h("button", { type: "button", class: "quiet", on: { click: () => box.close() } }, CONFIRM.leave);
  const box = h(
    "dialog",
    { class: "over confirm", "aria-labelledby": "confirm-title", "aria-describedby": "confirm-why" },
    h("h2", { id: "confirm-title" }, CONFIRM.title),
    h("p", { id: "confirm-why" }, CONFIRM.why),
    form.box,
    leave,
  );
  document.body.append(box);
  box.showModal();
  password.input.focus();
  return new Promise((resolve) => {
    box.addEventListener("close", () => {
      box.remove();
      resolve(given);
    });
  });
}
