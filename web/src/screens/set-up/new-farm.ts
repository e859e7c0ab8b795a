/** The first form of all: the farm; and the same for one more. */

import type { FarmName } from "../../core/contracts";
import { SET_UP } from "../../core/set-up-wording";
import { zoneMeant } from "../../core/time-zones";
import { SHELL } from "../../core/wording";
import type { Api } from "../../data/api";
import { sentence } from "../../data/request";
import { fill, h } from "../../ui/dom";
import { textField } from "../../ui/field";
import { notice } from "../../ui/notice";
import { STILL, type Shown } from "../context";
import "./set-up.css";

export interface FarmMaking {
  add: Api["addFarm"];
  made(farm: FarmName): void | Promise<void>;
}

/** Return the zone that this device knows by what was typed, with blanks or without; null for none. */
function zoneKnown(typed: string, zones: readonly string[]): string | null {
  const meant = zoneMeant(typed, zones);
  if (meant !== null || typed === "") return meant;
  try {
    // names that the list does not tell, UTC among them
    return new Intl.DateTimeFormat("en", { timeZone: typed }) instanceof Intl.DateTimeFormat ? typed : null;
  } catch {
    return null;
  }
}

/** Return the field of a time zone; `read` returns the zone that is meant, or null once the field has said that there is none. */
export function zoneField(begin: string): { box: HTMLElement; read(): string | null } {
  const zones = Intl.supportedValuesOf("timeZone");
  const zone = textField(SET_UP.timeZone, begin, { required: true, list: "time-zones" }, SET_UP.timeZoneHint);
  const options = zones.map((one) => h("option", { value: one }, one.replaceAll("_", " ")));
  zone.box.append(h("datalist", { id: "time-zones" }, ...options));
  return {
    box: zone.box,
    read() {
      const known = zoneKnown(zone.input.value.trim(), zones);
      zone.complain(known === null ? SET_UP.timeZoneUnknown : "");
      if (known !== null) zone.input.value = known;
      return known;
    },
  };
}

/** Return the form and the line in which it speaks. */
export function newFarmForm({ add, made }: FarmMaking): HTMLElement {
  const name = textField(SET_UP.farmName, "", { required: true, maxlength: 200 });
  const zone = zoneField(Intl.DateTimeFormat().resolvedOptions().timeZone);
  const said = notice();
  const make = async (event: Event): Promise<void> => {
    event.preventDefault();
    name.complain(name.input.value.trim() === "" ? SET_UP.needsName : "");
    const known = zone.read();
    if (name.input.value.trim() === "" || known === null) return;
    try {
      await made(await add({ name: name.input.value.trim(), time_zone: known }));
    } catch (error) {
      said.say(sentence(error, SHELL.noAnswer), "bad");
    }
  };
  return h(
    "div",
    {},
    said.box,
    h(
      "form",
      { class: "form narrow", novalidate: true, on: { submit: (event: Event) => void make(event) } },
      name.box,
      zone.box,
      h("button", { type: "submit", class: "main" }, SET_UP.makeFarm),
    ),
  );
}

/** Show the form in `root`; `made` is called when the farm is there. */
export function showNewFarm(root: HTMLElement, { api, made }: { api: Api; made(): Promise<void> }): Shown {
  fill(root, h("h1", {}, SET_UP.newFarm), h("p", { class: "lead" }, SET_UP.noFarm), newFarmForm({ add: api.addFarm, made }));
  return STILL;
}
