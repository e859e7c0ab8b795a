/** Accounts: who signs in by login, in which role; a new one gets a link that works once. */

import { PEOPLE } from "../../core/people-wording";
import { ACCESS } from "../../core/who-wording";
import { SHELL } from "../../core/wording";
import { sentence } from "../../data/request";
import type { Account, OneTimeLink, WhoApi } from "../../data/who-api";
import { fill, h } from "../../ui/dom";
import { textField } from "../../ui/field";
import { notice } from "../../ui/notice";
import type { Context } from "../context";
import { filled } from "../sign-in/door-form";
import { drawLines, unreadLines } from "./lines";
import { linkCard } from "./one-time-link";
import { roleFields } from "./role-fields";
import { sure } from "./sure";

interface Actions {
  link(account: Account): Promise<void>;
  end(account: Account): Promise<void>;
}

function accountLine(context: Context, account: Account, actions: Actions): HTMLElement {
  const crew = context.farm.crews.find((one) => one.id === account.crew_id);
  const own = account.login === context.who.login;
  const role = [ACCESS[account.role], crew?.name ?? "", own ? PEOPLE.you : "", account.disabled ? PEOPLE.disabled : ""];
  return h(
    "li",
    { class: "account" },
    h(
      "p",
      { class: "line-text" },
      h("strong", {}, account.name),
      account.login === account.name ? "" : ` (${account.login})`,
      h("span", {}, role.filter((part) => part !== "").join(", ")),
    ),
    h(
      "div",
      { class: "line-buttons" },
      h(
        "button",
        { type: "button", "aria-label": `${PEOPLE.newLink}: ${account.name}`, on: { click: () => void actions.link(account) } },
        PEOPLE.newLink,
      ),
      // nobody locks herself out by a slip
      own
        ? null
        : sure({
            button: PEOPLE.endAccount,
            label: `${PEOPLE.endAccount}: ${account.name}`,
            question: PEOPLE.endSure(account.name),
            yes: PEOPLE.endYes(account.name),
            run: () => actions.end(account),
          }),
    ),
  );
}

function accountForm(context: Context, api: WhoApi, made: (account: Account, link: OneTimeLink) => Promise<void>): HTMLElement {
  const name = textField(PEOPLE.name, "", { maxlength: 200 });
  const login = textField(PEOPLE.login, "", { maxlength: 200, autocapitalize: "none", spellcheck: "false" });
  const role = roleFields(["auditor", "adviser", "foreman", "manager"], context.farm.crews);
  const said = notice();
  const make = async (event: Event): Promise<void> => {
    event.preventDefault();
    const well = [filled(name, PEOPLE.noName), filled(login, PEOPLE.noLogin), role.check()];
    if (!well.every(Boolean)) return;
    try {
      const person = { name: name.input.value.trim(), login: login.input.value.trim() };
      const { account, ...link } = await api.addAccount(context.farm.id, { ...person, role: role.role(), ...role.crew() });
      for (const field of [name, login]) field.input.value = "";
      said.say("");
      await made(account, link);
    } catch (error) {
      said.say(sentence(error, SHELL.noAnswer), "bad");
    }
  };
  return h(
    "details",
    {},
    h("summary", {}, PEOPLE.makeAccount),
    h(
      "form",
      { class: "form", novalidate: true, on: { submit: (event: Event) => void make(event) } },
      name.box,
      login.box,
      ...role.boxes,
      h("button", { type: "submit" }, PEOPLE.make),
    ),
    said.box,
  );
}

/** Return the section; it reads what is there by itself. */
export function accountsSection(context: Context, api: WhoApi): HTMLElement {
  const said = notice();
  const list = unreadLines(SHELL.loading);
  const once = h("div", { role: "status" });
  let isRead = false;
  const tell = (error: unknown): void => said.say(sentence(error, SHELL.noAnswer), "bad");
  const actions: Actions = {
    async link(account) {
      try {
        fill(once, linkCard(account.name, await api.newLink(context.farm.id, account.id)));
        once.scrollIntoView({ block: "nearest" });
      } catch (error) {
        tell(error);
      }
    },
    async end(account) {
      await api.endAccount(context.farm.id, account.id);
      // who managed may have made keys and kept them
      const keys = account.role === "manager" ? [PEOPLE.keysGoOn(account.name)] : [];
      said.say([PEOPLE.ended(account.name), ...keys].join(" "), "good");
      await read();
    },
  };
  const read = async (): Promise<void> => {
    try {
      const { accounts } = await api.accounts(context.farm.id);
      isRead = true;
      drawLines(list, accounts, PEOPLE.accountsNone, (account) => accountLine(context, account, actions));
    } catch (error) {
      if (!isRead) fill(list);
      tell(error);
    }
  };
  void read();
  const made = async (account: Account, link: OneTimeLink): Promise<void> => {
    fill(once, linkCard(account.name, link));
    await read();
  };
  return h(
    "section",
    { class: "people-part" },
    h("h2", {}, PEOPLE.accounts),
    h("p", {}, PEOPLE.accountsLead),
    list,
    said.box,
    once,
    accountForm(context, api, made),
  );
}
