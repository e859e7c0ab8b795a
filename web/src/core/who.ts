/** Who asks, in which role, and which screens that role is shown. The service decides what is allowed; this only what is offered. */

import type { Access, Who } from "./contracts";
import type { DoorScreen, FarmScreen } from "./place";

type Screens = readonly [FarmScreen, ...FarmScreen[]];
const SCREENS_OF: Record<Access, Screens> = {
  manager: ["overview", "rows", "checks", "quality", "settling", "forecast", "plan", "briefs", "timing", "pay", "farms", "people", "set-up"],
  foreman: ["rows"],
  auditor: ["checks", "quality", "overview"],
  adviser: ["briefs", "overview", "quality", "forecast", "timing", "farms"],
};

/** Return the screens of a role, the one to begin with first. */
export function roleScreens(role: Access): Screens {
  return SCREENS_OF[role];
}

/** Return those of them that are offered: farms stand side by side where there are several that one reads all of. */
export function offeredScreens(role: Access, farms: readonly { role: Access }[]): FarmScreen[] {
  const several = farms.filter((farm) => SCREENS_OF[farm.role].includes("farms")).length > 1;
  return SCREENS_OF[role].filter((screen) => screen !== "farms" || several);
}

/** On a tablet held upright more words than these stand on two lines. */
const MOST_IN_LINE = 9;
const SELDOM: readonly FarmScreen[] = ["briefs", "timing", "farms", "people", "set-up"];

/** Return the screens whose words stand in the line of the navigation, and those behind its last word where all would not fit. */
export function inLineAndMore(screens: readonly FarmScreen[]): { inLine: FarmScreen[]; more: FarmScreen[] } {
  const isMore = (screen: FarmScreen): boolean => screens.length > MOST_IN_LINE && SELDOM.includes(screen);
  return { inLine: screens.filter((screen) => !isMore(screen)), more: screens.filter(isMore) };
}

/** Tell whether a role makes records: whoever makes none has nothing to send. */
export function makesRecords(role: Access): boolean {
  return role !== "adviser";
}

/** Return the role on a farm, or null where there is none. */
export function roleAt(who: Who, farmId: string): Access | null {
  return who.farms.find((farm) => farm.id === farmId)?.role ?? null;
}

/**
 * Return the screen to show for the wanted one: that itself where the role has it, else the role's first. Whoever has just
 * come in by the bare address, which is the overview's, asked for nothing: she begins at her first.
 */
export function screenFor(role: Access, wanted: FarmScreen, isNew = false): FarmScreen {
  const screens = roleScreens(role);
  if (isNew && wanted === "overview") return screens[0];
  return screens.find((screen) => screen === wanted) ?? screens[0];
}

/**
 * Return the screen on which somebody who is not let in begins. A tablet that was paired once is asked for a code and not
 * for a password, unless a session of an account was what ended.
 */
export function entrance({ state, lapsed }: Who, wasTablet: boolean): DoorScreen {
  if (state === "first_start") return "first-start";
  if (lapsed === "session") return "sign-in";
  return lapsed === "device" || wasTablet ? "pair" : "sign-in";
}
