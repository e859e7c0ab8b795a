/** Pairing this tablet with a farm, by the code from the manager's screen; then whose hand it is in. */

import type { Who } from "../../core/contracts";
import { codeInGroups, homeScreenFirst, typedCode } from "../../core/door";
import { PAIR } from "../../core/pair-wording";
import { whoApi } from "../../data/who-api";
import { fill, h } from "../../ui/dom";
import { textField } from "../../ui/field";
import { takeFragment } from "../../ui/fragment";
import { notice } from "../../ui/notice";
import { STILL, type Door, type DoorScreen } from "../context";
import "../pickers.css";
import { doorForm } from "../sign-in/door-form";
import { holderSection } from "./holder";
import "./pair.css";
import { keepingWords } from "./keeping";

function thisBrowser(): { userAgent: string; touchPoints: number; standalone: boolean } {
  const standalone = matchMedia("(display-mode: standalone)").matches || "standalone" in navigator && navigator.standalone === true;
  return { userAgent: navigator.userAgent, touchPoints: navigator.maxTouchPoints, standalone };
}

function homeScreen(code: string | null, anyway: () => void): HTMLElement {
  const whole = code === null ? null : typedCode(code);
  return h(
    "section",
    { class: "home-first" },
    h("h2", {}, PAIR.homeTitle),
    h("p", {}, PAIR.homeWhy),
    h("ol", {}, ...PAIR.homeSteps.map((step) => h("li", {}, step))),
    whole === null ? null : h("p", { class: "home-code" }, PAIR.homeCode(codeInGroups(whole))),
    h("button", { type: "button", on: { click: anyway } }, PAIR.homeAnyway),
  );
}

function codeForm(door: Door, code: string | null, paired: (who: Who) => void): HTMLElement {
  const field = textField(PAIR.code, code ?? "", {
    class: "code-field",
    autocapitalize: "characters",
    spellcheck: "false",
    maxlength: 20,
  });
  return doorForm({
    fields: [field],
    button: PAIR.pair,
    locked: PAIR.locked,
    over: PAIR.codeOver,
    check() {
      const whole = typedCode(field.input.value) !== null;
      field.complain(whole ? "" : PAIR.notWhole);
      return whole;
    },
    async send() {
      paired(await whoApi(door.request).pair(typedCode(field.input.value) ?? ""));
    },
  }).box;
}

/** Let this device work for the farm and crew it was paired with. */
function remember(door: Door, { device }: Who): void {
  if (device === null) return;
  door.device.set("farm", device.farm_id);
  door.device.set("crew", device.crew_id);
}

/** Show the screen. */
export const showPair: DoorScreen = (root, door) => {
  const code = takeFragment("");
  const body = h("div", { class: "door pair" });
  const said = notice();
  const toSignIn = (): void => door.go({ screen: "sign-in", block: null });

  const showPaired = (who: Who, fresh: boolean): void => {
    const { device } = who;
    if (device === null) return showCode();
    const farm = who.farms.find((one) => one.id === device.farm_id)?.name ?? "";
    fill(
      body,
      h("h1", {}, device.name),
      h("p", {}, PAIR.paired(farm, device.crew_id !== null)),
      said.box,
      holderSection(who, whoApi(door.request), door.holding, door.entered),
    );
    if (fresh) void keepingWords().then(({ words, good }) => said.say(words, good ? "good" : "bad"));
  };
  const paired = (who: Who): void => {
    remember(door, who);
    showPaired(who, true);
  };
  const showCode = (): void => {
    const was = door.who.lapsed === "device" || door.device.get("tablet") !== null;
    fill(
      body,
      h("h1", {}, was ? PAIR.again : PAIR.title),
      h("p", {}, was ? PAIR.againLead : PAIR.lead),
      was ? h("p", {}, PAIR.lead) : null,
      codeForm(door, code, paired),
      h("button", { type: "button", class: "quiet", on: { click: toSignIn } }, PAIR.toSignIn),
    );
  };
  if (door.who.state === "device") showPaired(door.who, false);
  else if (homeScreenFirst(thisBrowser())) fill(body, h("h1", {}, PAIR.title), homeScreen(code, showCode));
  else showCode();
  fill(root, body);
  return STILL;
};
