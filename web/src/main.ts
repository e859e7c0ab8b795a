/** Composition root: puts service, device and shell together and shows the screen of the address. */

import type { Farm, FarmAccess, Who } from "./core/contracts";
import { addressOf, isDoor, placeOf, type DoorScreen as Door, type FarmScreen, type Place } from "./core/place";
import { roleScreens, screenFor } from "./core/who";
import { SIGN_IN } from "./core/who-wording";
import { SHELL } from "./core/wording";
import { apiOf } from "./data/api";
import { deviceOf } from "./data/device";
import { isReady, Problem, requester, sentence } from "./data/request";
import { sendingOf } from "./data/sending";
import { showChecks } from "./screens/checks/checks";
import { freshId, STILL, type Context, type DoorScreen, type Screen, type Shown } from "./screens/context";
import { showFirstStart } from "./screens/first-start/first-start";
import { showOverview } from "./screens/overview/overview";
import { showPair } from "./screens/pair/pair";
import { showPeople } from "./screens/people/people";
import { showRows } from "./screens/rows/rows";
import { showNewFarm } from "./screens/set-up/new-farm";
import { showSetUp } from "./screens/set-up/set-up";
import { showSettling } from "./screens/settling/settling";
import { shellOf, type Connection } from "./screens/shell/shell";
import { showSignIn } from "./screens/sign-in/sign-in";
import { fill } from "./ui/dom";
import { paintFromLegend, stripPatterns } from "./ui/legend-signs";
import { emptyState } from "./ui/notice";
import "./ui/sheet.css";

const SCREEN = {
  overview: showOverview,
  rows: showRows,
  checks: showChecks,
  settling: showSettling,
  people: showPeople,
  "set-up": showSetUp,
} as const satisfies Record<FarmScreen, Screen>;
const DOOR = { "sign-in": showSignIn, "first-start": showFirstStart, pair: showPair } as const satisfies Record<
  Door,
  DoorScreen
>;
const FOLLOW_MS = 4_000;

const device = deviceOf(window.localStorage);
const deviceId = device.get("device") ?? freshId();
device.set("device", deviceId);

const connection: Connection = { answered: null, lastAnswer: null };
const request = requester((answered) => {
  connection.answered = answered;
  if (answered) connection.lastAnswer = new Date();
  shell.showConnection(connection, sending);
});
const api = apiOf(request);
const sending = sendingOf(api, () => new Date(), () => shell.showConnection(connection, sending));
const root = document.querySelector("#app");
if (!(root instanceof HTMLElement)) throw new Error("The page has no #app.");
const shell = shellOf(root, {
  go,
  pickFarm(id) {
    device.set("farm", id);
    go({ screen: "overview", block: null });
  },
  tryAgain: () => void tryAgain(),
});
let shown: Shown = STILL;
/** The screen could not be shown: nothing on it follows the service, so it is shown anew when the service is back. */
let dead = false;
let known: { farm: Farm | null; farms: readonly FarmAccess[]; who: Who | null } = { farm: null, farms: [], who: null };
/** Where one wanted to go before the door stood in the way. */
let wanted: Place | null = null;
let visit = 0;

function go(place: Place): void {
  // a double tap on a link is one step back, not two
  if (addressOf(place) !== location.pathname + location.search) history.pushState(null, "", addressOf(place));
  window.scrollTo(0, 0);
  void show().then(() => shell.main.focus({ preventScroll: true }));
}

/** Read who asks and the farm, and show the screen of the address; a later visit overtakes an earlier one. */
async function show(): Promise<void> {
  visit += 1;
  const mine = visit;
  const place = placeOf(location.pathname, location.search);
  try {
    const who = await api.who();
    if (mine !== visit) return;
    if (isDoor(place.screen)) return showDoor(place.screen, place, who);
    if (who.state === "first_start") return toDoor("first-start", place);
    if (who.state === "nobody") return toDoor(entrance(), place);
    await showFarm(who, place, () => mine === visit);
  } catch (error) {
    if (mine !== visit) return;
    if (error instanceof Problem && error.status === 401 && !isDoor(place.screen)) {
      return toDoor(error.kind === "revoked-device" ? "pair" : entrance(), place);
    }
    shown.leave();
    shown = STILL;
    dead = true;
    // farm and screens stay in sight: what is known does not vanish with the connection
    shell.showFarm(known.farm, known.farms, place, known.who);
    fill(shell.main, emptyState(sentence(error, SHELL.noAnswer), { label: SHELL.tryAgain, run: () => void show() }));
  }
}

/** Return where somebody who is not let in begins: a tablet that was paired once is asked for a code, not for a password. */
function entrance(): Door {
  return device.get("tablet") === null ? "sign-in" : "pair";
}

/** Go to a screen of the door, and remember where one wanted to go. */
function toDoor(screen: Door, from: Place): void {
  wanted = from;
  history.replaceState(null, "", addressOf({ screen, block: null }));
  void show();
}

function showDoor(screen: Door, place: Place, who: Who): void {
  shown.leave();
  dead = false;
  shell.showFarm(null, [], place, null);
  const entered = (): void => {
    const to = wanted ?? { screen: "overview", block: null };
    wanted = null;
    history.replaceState(null, "", addressOf(to)); // the door is no place to come back to
    void show();
  };
  shown = DOOR[screen](shell.main, { request, device, place, deviceId, who, go, entered });
}

async function showFarm(who: Who, asked: Place, isLatest: () => boolean): Promise<void> {
  const { farms } = who;
  const chosen = farms.find((farm) => farm.id === device.get("farm")) ?? farms[0];
  const farm = chosen === undefined ? null : await api.farm(chosen.id);
  if (!isLatest()) return;
  known = { farm, farms, who };
  dead = false;
  shown.leave();
  shown = STILL;
  if (chosen === undefined || farm === null) {
    shell.showFarm(null, farms, { screen: "set-up", block: null }, who);
    if (who.makes_farms) shown = showNewFarm(shell.main, api, async () => go({ screen: "set-up", block: null }));
    else fill(shell.main, emptyState(SIGN_IN.noFarm));
    return;
  }
  const place = offered(asked, chosen);
  shell.showFarm(farm, farms, place, who);
  device.set("farm", farm.id);
  if (chosen.crew_id !== null) device.set("crew", chosen.crew_id);
  const context: Context = { api, request, who, device, sending, farm, place, deviceId, go, tryAgain, readFarm };
  async function readFarm(): Promise<void> {
    context.farm = await api.farm(context.farm.id);
    known = { farm: context.farm, farms, who };
    shell.showFarm(context.farm, farms, place, who);
  }
  if (!isDoor(place.screen)) shown = SCREEN[place.screen](shell.main, context);
}

/** Return the wanted place, or the first screen of the role where it has none such. */
function offered(asked: Place, { role }: FarmAccess): Place {
  if (isDoor(asked.screen) || roleScreens(role).some((screen) => screen === asked.screen)) return asked;
  const place: Place = { screen: screenFor(role, asked.screen), block: asked.block };
  history.replaceState(null, "", addressOf(place));
  return place;
}

/** Send again what waits, and draw what the screen shows from the service. */
async function tryAgain(): Promise<void> {
  const saved = await sending.tryAgain();
  if (saved > 0) shell.announce(SHELL.savedNow(saved));
  if (dead) await show();
  else shown.newer(0);
}

/** After an outage: go on as soon as the service is ready, without being asked. */
async function comeBack(): Promise<void> {
  if (!(await isReady())) return;
  const lost = connection.answered === false;
  connection.answered = true;
  connection.lastAnswer = new Date();
  shell.showConnection(connection, sending);
  if (lost || dead) await tryAgain();
}

let asking = false;
/** Ask now and then whether the service is there, and has newer records than the screen shows. */
async function follow(): Promise<void> {
  if (asking || document.visibilityState === "hidden") return;
  asking = true;
  await (connection.answered === false || dead ? comeBack() : readChanges());
  asking = false;
}

async function readChanges(): Promise<void> {
  const cursor = shown.cursor();
  const farm = device.get("farm");
  if (cursor === null || farm === null) return;
  const asked = shown;
  try {
    const { changes } = await api.changes(farm, cursor);
    if (asked === shown && changes.length > 0) shown.newer(changes.length);
  } catch {
    // the connection line already says so; the next round asks again
  }
}

window.addEventListener("online", () => void follow());
document.addEventListener("visibilitychange", () => void follow());
window.addEventListener("popstate", () => void show());
window.addEventListener("beforeunload", (event) => {
  if (sending.unsaved().length > 0) event.preventDefault();
});
setInterval(() => void follow(), FOLLOW_MS);
paintFromLegend(document.documentElement);
document.body.append(stripPatterns());
shell.showConnection(connection, sending);
void show();
