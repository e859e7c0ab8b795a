/** Signing in by login and password or by a link; and, once signed in, one's own account. */

import type { Who } from "../../core/contracts";
import { pageBehind, passwordOffer } from "../../core/door";
import { SIGN_IN } from "../../core/sign-in-wording";
import { whoApi, type WhoApi } from "../../data/who-api";
import { fill, h } from "../../ui/dom";
import { textField } from "../../ui/field";
import { takeFragment } from "../../ui/fragment";
import { notice } from "../../ui/notice";
import { STILL, type Door, type DoorScreen } from "../context";
import { doorForm, filled, refusal } from "./door-form";
import { afterLink, ownAccount } from "./own-account";

function signInForm(door: Door, api: WhoApi): HTMLElement {
  const login = textField(SIGN_IN.login, "", { autocomplete: "username", autocapitalize: "none", spellcheck: "false" });
  const password = textField(SIGN_IN.password, "", { type: "password", autocomplete: "current-password" });
  return doorForm({
    fields: [login, password],
    button: SIGN_IN.enter,
    locked: SIGN_IN.locked,
    check() {
      const hasLogin = filled(login, SIGN_IN.noLogin);
      const hasPassword = password.input.value !== "";
      password.complain(hasPassword ? "" : SIGN_IN.noPassword);
      return hasLogin && hasPassword;
    },
    async send() {
      try {
        await api.signIn(login.input.value.trim(), password.input.value);
      } catch (error) {
        password.input.value = "";
        password.input.focus();
        throw error;
      }
      goOn(door);
    },
  }).box;
}

/** Go on to the page that the door stood before, else to the screen that was wanted. */
function goOn(door: Door): void {
  const page = pageBehind(location.search);
  if (page === null) door.entered();
  else location.replace(page);
}

/** Sign in by the code of a link, which stays in this page only until it was answered. */
function byLink(api: WhoApi, code: string, entered: (who: Who) => void): HTMLElement {
  const said = notice();
  const again = h("button", { type: "button", class: "main", hidden: true, on: { click: () => void enter() } }, SIGN_IN.linkAgain);
  const enter = async (): Promise<void> => {
    again.hidden = true;
    said.say(SIGN_IN.byLink);
    try {
      entered(await api.signInByLink(code));
    } catch (error) {
      const words = refusal(error, { locked: SIGN_IN.locked, over: SIGN_IN.linkOver });
      said.say(words, "bad");
      again.hidden = words === SIGN_IN.linkOver;
    }
  };
  void enter();
  return h("div", { class: "by-link" }, said.box, again);
}

/** Show the screen. */
export const showSignIn: DoorScreen = (root, door) => {
  const api = whoApi(door.request);
  const code = takeFragment("link");
  if (code === null && door.who.state === "account") {
    fill(root, h("div", { class: "door" }, ...ownAccount(door, api)));
    return STILL;
  }
  const byLinkEntered = (who: Who): void => {
    const offer = passwordOffer(who);
    if (offer === null) return goOn(door);
    door.letIn(who);
    fill(root, h("div", { class: "door" }, ...(offer === "new" ? afterLink : ownAccount)({ ...door, who }, api)));
  };
  const toTablet = (): void => door.go({ screen: "pair", block: null });
  fill(
    root,
    h(
      "div",
      { class: "door" },
      h("h1", {}, SIGN_IN.title),
      code === null ? null : byLink(api, code, byLinkEntered),
      signInForm(door, api),
      h("p", {}, SIGN_IN.forgotten),
      h("button", { type: "button", class: "quiet", on: { click: toTablet } }, SIGN_IN.tablet),
    ),
  );
  return STILL;
};
