/** Pairing this tablet with a farm, by the code from the manager's screen. */

import { DOOR } from "../../core/door-wording";
import { textField } from "../../ui/field";
import type { DoorScreen } from "../context";
import { showDoorForm } from "../sign-in/door-form";

/** Show the form; the code may stand in the address, after `#`. */
export const showPair: DoorScreen = (root, door) => {
  const code = textField(DOOR.code, location.hash.slice(1), { autocapitalize: "characters", maxlength: 20 });
  return showDoorForm(root, {
    title: DOOR.pair,
    lead: DOOR.pairLead,
    fields: [code],
    button: DOOR.pairIt,
    async send() {
      await door.request("/pair", { method: "POST", json: { code: code.input.value.trim() } });
      door.entered();
    },
  });
};
