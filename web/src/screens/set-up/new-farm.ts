/** The first form of all: the farm. */

import { SET_UP } from "../../core/set-up-wording";
import { SHELL } from "../../core/wording";
import type { Api } from "../../data/api";
import { sentence } from "../../data/request";
import { fill, h } from "../../ui/dom";
import { textField } from "../../ui/field";
import { notice } from "../../ui/notice";
import { STILL, type Shown } from "../context";
import "./set-up.css";

function isTimeZone(name: string): boolean {
  try {
    return name !== "" && new Intl.DateTimeFormat("en", { timeZone: name }) instanceof Intl.DateTimeFormat;
  } catch {
    return false;
  }
}

/** Show the form in `root`; `made` is called when the farm is there. */
export function showNewFarm(root: HTMLElement, { api, made }: { api: Api; made(): Promise<void> }): Shown {
  const name = textField(SET_UP.farmName, "", { required: true, maxlength: 200 });
  const zone = textField(
    SET_UP.timeZone,
    Intl.DateTimeFormat().resolvedOptions().timeZone,
    { required: true, list: "time-zones" },
    SET_UP.timeZoneHint,
  );
  const zones = Intl.supportedValuesOf("timeZone").map((one) => h("option", { value: one }));
  zone.box.append(h("datalist", { id: "time-zones" }, ...zones));
  const said = notice();
  const make = async (event: Event): Promise<void> => {
    event.preventDefault();
    name.complain(name.input.value.trim() === "" ? SET_UP.needsName : "");
    const isZone = isTimeZone(zone.input.value.trim());
    zone.complain(isZone ? "" : SET_UP.timeZoneUnknown);
    if (name.input.value.trim() === "" || !isZone) return;
    try {
      await api.addFarm({ name: name.input.value.trim(), time_zone: zone.input.value.trim() });
      await made();
    } catch (error) {
      said.say(sentence(error, SHELL.noAnswer), "bad");
    }
  };
  fill(
    root,
    h("h1", {}, SET_UP.newFarm),
    h("p", { class: "lead" }, SET_UP.noFarm),
    said.box,
    h(
      "form",
      { class: "form narrow", novalidate: true, on: { submit: (event: Event) => void make(event) } },
      name.box,
      zone.box,
      h("button", { type: "submit", class: "main" }, SET_UP.makeFarm),
    ),
  );
  return STILL;
}
