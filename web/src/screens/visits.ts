/** Which screen is shown: who asks, the door where that is not known, the farm, and the screen of the address. */

import type { Farm, FarmAccess, Who } from "../core/contracts";
import { addressOf, isDoor, placeOf, type DoorScreen as DoorName, type FarmScreen, type Place } from "../core/place";
import { entrance, roleAt, screenFor } from "../core/who";
import { HERE } from "../core/who-wording";
import { SHELL } from "../core/wording";
import { Problem, sentence } from "../data/request";
import { fill } from "../ui/dom";
import { emptyState } from "../ui/notice";
import { STILL, type Context, type Door, type DoorScreen, type Screen, type Shown } from "./context";
import { later } from "./later";
import type { Shell } from "./shell/shell";

export interface Visits {
  go(place: Place): void;
  /** Read anew who asks and show the screen of the address; a later visit overtakes an earlier one. */
  show(): Promise<void>;
  /** Somebody was let in or out in another window: show what that one may see; from the door go on to where one wanted to go. */
  elsewhere(): Promise<void>;
  /** The service refused what this window may not see: shown anew where whoever asks has another role on the farm now, or none. */
  refused(): Promise<void>;
  /** Learn the names that no device keeps, where the screen was opened without a connection; it stays as it is. */
  readNames(): Promise<void>;
  shown(): Shown;
  /** The id of the farm that this window shows, or showed last; null where there is none. */
  farm(): string | null;
  /** The screen could not be shown: nothing on it follows the service. */
  isDead(): boolean;
}
export interface VisitTools {
  shell: Shell;
  screens: Record<FarmScreen, Screen>;
  doors: Record<DoorName, DoorScreen>;
  /** What every screen is given beside the farm and its place. */
  given: Omit<Context, "who" | "farm" | "place" | "go" | "readFarm">;
  /** Told who asks and which farm is shown. */
  arrived(who: Who, farm: Farm | null): void;
}

const newFarm = later(async () => (await import("./set-up/new-farm")).showNewFarm);

/** Return the wanted place, or the first screen of the role where it has none such. */
function offered(asked: Place, { role }: FarmAccess, isNew: boolean): Place {
  if (isDoor(asked.screen)) return asked;
  const screen = screenFor(role, asked.screen, isNew);
  if (screen === asked.screen) return asked;
  const place: Place = { screen, block: asked.block };
  history.replaceState(null, "", addressOf(place));
  return place;
}

/** Return the visits. */
export function visitsOf({ shell, screens, doors, given, arrived }: VisitTools): Visits {
  const { api, device, holding } = given;
  let shown: Shown = STILL;
  let dead = false;
  let known: { farm: Farm | null; farms: readonly FarmAccess[]; who: Who | null } = { farm: null, farms: [], who: null };
  /** Where one wanted to go before the door stood in the way. */
  let wanted: Place | null = null;
  let isNew = false;
  let visit = 0;

  let readNames = async (): Promise<void> => undefined;
  const go = (place: Place): void => {
    // a double tap on a link is one step back, not two
    if (addressOf(place) !== location.pathname + location.search) history.pushState(null, "", addressOf(place));
    window.scrollTo(0, 0);
    void show().then(() => shell.main.focus({ preventScroll: true }));
  };
  const show = async (): Promise<void> => {
    visit += 1;
    const mine = visit;
    const place = placeOf(location.pathname, location.search);
    try {
      const who = holding.known(await api.who());
      if (mine !== visit) return;
      if (isDoor(place.screen)) return showDoor(place.screen, place, who);
      if (who.state === "first_start" || who.state === "nobody") return toDoor(entrance(who, wasTablet()), place);
      await showFarm(who, place, () => mine === visit);
    } catch (error) {
      if (mine !== visit) return;
      if (error instanceof Problem && error.status === 401 && !isDoor(place.screen)) {
        return toDoor(error.kind === "revoked-device" || wasTablet() ? "pair" : "sign-in", place);
      }
      shown.leave();
      shown = STILL;
      dead = true;
      // farm and screens stay in sight: what is known does not vanish with the connection
      shell.showFarm(known.farm, known.farms, place, known.who);
      fill(shell.main, emptyState(sentence(error, SHELL.noAnswer), { label: SHELL.tryAgain, run: () => void show() }));
    }
  };
  const wasTablet = (): boolean => device.get("tablet") !== null;
  const toDoor = (screen: DoorName, from: Place): void => {
    wanted = from;
    history.replaceState(null, "", addressOf({ screen, block: null }));
    void show();
  };
  const entered = (): void => {
    const to = wanted ?? { screen: "overview", block: null };
    wanted = null;
    isNew = true;
    history.replaceState(null, "", addressOf(to)); // the door is no place to come back to
    void show();
  };
  const elsewhere = async (): Promise<void> => {
    const isWaiting = wanted !== null && isDoor(placeOf(location.pathname, location.search).screen);
    if (!isWaiting) return show();
    const { state } = await api.who();
    if (state === "account" || state === "device") entered();
  };
  const refused = async (): Promise<void> => {
    const { farm, who: before } = known;
    if (farm === null || before === null) return;
    const now = holding.known(await api.who());
    if (farm === known.farm && roleAt(now, farm.id) !== roleAt(before, farm.id)) await show();
  };
  const showDoor = (screen: DoorName, place: Place, who: Who): void => {
    shown.leave();
    dead = false;
    arrived(who, null);
    shell.showFarm(null, [], place, null);
    const { request, deviceId } = given;
    const door: Door = { request, device, place, deviceId, who, holding, go, letIn: (now) => arrived(now, null), entered };
    shown = doors[screen](shell.main, door);
  };
  const showFarm = async (who: Who, asked: Place, isLatest: () => boolean): Promise<void> => {
    const { farms } = who;
    const chosen = farms.find((farm) => farm.id === device.get("farm")) ?? farms[0];
    const farm = chosen === undefined ? null : await api.farm(chosen.id);
    if (!isLatest()) return;
    known = { farm, farms, who };
    dead = false;
    shown.leave();
    shown = STILL;
    arrived(who, farm);
    if (chosen === undefined || farm === null) {
      shell.showFarm(null, farms, { screen: "set-up", block: null }, who);
      if (who.makes_farms) shown = newFarm(shell.main, { api, made: async () => go({ screen: "set-up", block: null }) });
      else fill(shell.main, emptyState(HERE.noFarm));
      return;
    }
    const place = offered(asked, chosen, isNew);
    isNew = false;
    shell.showFarm(farm, farms, place, who);
    device.set("farm", farm.id);
    let saves = 0;
    const readFarm = async (): Promise<void> => {
      saves += 1;
      context.farm = await api.farmSaved(context.farm.id);
      if (!isLatest()) return; // another farm may be shown by now
      known = { farm: context.farm, farms, who };
      shell.showFarm(context.farm, farms, place, who);
    };
    // a tablet's records name its pairing: when that is revoked, the manager sees which records came from it
    const deviceId = who.device?.id ?? given.deviceId;
    const context: Context = { ...given, deviceId, who, farm, place, go, readFarm };
    readNames = async () => {
      if (context.farm.people.length > 0) return;
      const before = saves;
      const now = holding.known(await api.who());
      const named = await api.farm(context.farm.id);
      // what was asked before something was saved tells how it was
      if (!isLatest() || now.state !== who.state || before !== saves) return;
      context.who = now;
      context.farm = named;
      known = { farm: named, farms, who: now };
      shell.showFarm(named, farms, place, now);
      arrived(now, named);
    };
    if (!isDoor(place.screen)) shown = screens[place.screen](shell.main, context);
  };
  return { go, show, elsewhere, refused, readNames: () => readNames(), shown: () => shown, farm: () => known.farm?.id ?? null, isDead: () => dead };
}
