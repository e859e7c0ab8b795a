/** Tablets: paired by a code, listed with when they were last heard, taken back at once. */

import { momentText } from "../../core/numbers";
import { PEOPLE } from "../../core/people-wording";
import { ACCESS } from "../../core/who-wording";
import { SHELL } from "../../core/wording";
import { sentence } from "../../data/request";
import type { PairedTablet, WhoApi } from "../../data/who-api";
import { fill, h } from "../../ui/dom";
import { textField } from "../../ui/field";
import { notice } from "../../ui/notice";
import type { Context } from "../context";
import { filled } from "../sign-in/door-form";
import { drawLines, unreadLines } from "./lines";
import { codeCard, type CodeCard } from "./pairing-code";
import { roleFields } from "./role-fields";
import { sure } from "./sure";

const FOLLOW_MS = 4_000;

function tabletLine(context: Context, tablet: PairedTablet, revoke: () => Promise<void>): HTMLElement {
  const { crews, people, time_zone } = context.farm;
  const crew = crews.find((one) => one.id === tablet.crew_id);
  const holder = people.find((one) => one.id === tablet.holder_id);
  const moment = (iso: string): string => momentText(iso, time_zone);
  const facts = [
    crew === undefined ? ACCESS[tablet.role] : `${ACCESS[tablet.role]}, ${crew.name}`,
    tablet.revoked_at !== null
      ? PEOPLE.revokedOn(moment(tablet.revoked_at))
      : tablet.last_seen_at === null
        ? PEOPLE.neverHeard
        : PEOPLE.heard(moment(tablet.last_seen_at)),
    PEOPLE.pairedOn(moment(tablet.paired_at)),
    tablet.revoked_at !== null ? "" : holder === undefined ? PEOPLE.nobodyHolds : PEOPLE.heldBy(holder.name),
  ];
  return h(
    "li",
    { class: "tablet", "data-revoked": String(tablet.revoked_at !== null) },
    h(
      "p",
      { class: "line-text" },
      h("strong", {}, tablet.name),
      h("span", {}, facts.filter((part) => part !== "").join("; ")),
    ),
    tablet.revoked_at !== null
      ? null
      : sure({
          button: PEOPLE.revoke,
          label: `${PEOPLE.revoke}: ${tablet.name}`,
          question: PEOPLE.revokeSure(tablet.name),
          yes: PEOPLE.revokeYes(tablet.name),
          run: revoke,
        }),
  );
}

/** Return the section; `read` reads the list anew, `leave` ends what it waits for. */
export function tabletsSection(context: Context, api: WhoApi): { box: HTMLElement; read(): void; leave(): void } {
  const { farm } = context;
  const said = notice();
  const list = unreadLines(SHELL.loading);
  const codeBox = h("div", {});
  let code: CodeCard | null = null;
  let known = new Set<string>();
  let isRead = false;

  const read = async (): Promise<void> => {
    try {
      const { devices } = await api.tablets(farm.id);
      const fresh = devices.filter((tablet) => !known.has(tablet.id));
      if (code !== null && fresh.some((tablet) => tablet.name === code?.name)) code.used();
      known = new Set(devices.map((tablet) => tablet.id));
      const live = devices.filter((tablet) => tablet.revoked_at === null);
      const over = devices.filter((tablet) => tablet.revoked_at !== null);
      isRead = true;
      drawLines(list, [...live, ...over], PEOPLE.tabletsNone, (tablet) => tabletLine(context, tablet, () => revoke(tablet)));
    } catch (error) {
      if (!isRead) fill(list);
      said.say(sentence(error, SHELL.noAnswer), "bad");
    }
  };
  const revoke = async (tablet: PairedTablet): Promise<void> => {
    await api.revoke(farm.id, tablet.id);
    said.say(PEOPLE.revoked(tablet.name), "good");
    await read();
  };
  const name = textField(PEOPLE.tabletName, "", { maxlength: 100 }, PEOPLE.tabletNameHint);
  const role = roleFields(["foreman", "auditor"], farm.crews);
  const make = async (event: Event): Promise<void> => {
    event.preventDefault();
    const well = [filled(name, PEOPLE.noTabletName), role.check()];
    if (!well.every(Boolean)) return;
    try {
      const wanted = { name: name.input.value.trim(), role: role.role(), ...role.crew() };
      code = codeCard(wanted.name, await api.makeCode(farm.id, wanted));
      fill(codeBox, code.box);
      said.say("");
      code.box.scrollIntoView({ block: "nearest" });
    } catch (error) {
      said.say(sentence(error, SHELL.noAnswer), "bad");
    }
  };
  const timer = setInterval(() => {
    if (code === null || !code.tick()) return;
    if (document.visibilityState === "visible") void read();
  }, FOLLOW_MS);
  void read();
  const box = h(
    "section",
    { class: "people-part" },
    h("h2", {}, PEOPLE.tablets),
    h("p", {}, PEOPLE.tabletsLead),
    list,
    said.box,
    codeBox,
    h(
      "form",
      { class: "form", novalidate: true, on: { submit: (event: Event) => void make(event) } },
      name.box,
      ...role.boxes,
      h("button", { type: "submit" }, PEOPLE.makeCode),
    ),
  );
  return { box, read: () => void read(), leave: () => clearInterval(timer) };
}
