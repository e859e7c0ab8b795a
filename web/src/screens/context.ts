/** What every screen is given: the service, this device, the farm, and the way to another screen. */

import type { Crew, Farm, Who } from "../core/contracts";
import { uuid7 } from "../core/ids";
import type { Place } from "../core/place";
import type { Stamp } from "../core/records";
import type { Api } from "../data/api";
import type { Device } from "../data/device";
import type { Ground } from "../data/ground";
import type { HalfDone } from "../data/half-done";
import type { Holding } from "../data/holding";
import type { Photos } from "../data/photos";
import type { Request } from "../data/request";
import type { Sending } from "../data/sending";
import type { TabletMemory } from "../data/tablet-memory";
import type { Theme } from "../ui/theme";

/** What a screen before one is let in is given: there is no farm yet. */
export interface Door {
  /** Asks any route of the service; the routes of a screen stand in a module of their own. */
  request: Request;
  device: Device;
  place: Place;
  deviceId: string;
  who: Who;
  holding: Holding;
  go(place: Place): void;
  /** Somebody was let in and stays at the door for now: other windows hear of it. */
  letIn(who: Who): void;
  /** Somebody was let in: ask anew who this is, and go on to where one wanted to go. */
  entered(): void;
}

export interface Context {
  api: Api;
  request: Request;
  who: Who;
  /** Whose hand this tablet is in. */
  holding: Holding;
  device: Device;
  sending: Sending;
  /** What of the farm is on this device. */
  ground: Ground;
  /** What is half done here and no record yet. */
  halfDone: HalfDone;
  /** Photos of checked trees on this device. */
  photos(): Promise<Photos>;
  /** How this tablet is held and looked at, and how its crew walks. */
  tablet: { memory: TabletMemory; theme: Theme };
  /** Have the pages loaded again in another language, once nothing is on this page only. */
  speak(code: string): void;
  farm: Farm;
  place: Place;
  deviceId: string;
  go(place: Place): void;
  /** Send again what is not saved, then read the screen anew. */
  tryAgain(): Promise<void>;
  /** Read the farm again after something was saved, here and in the title block; the screen stays as it is. */
  readFarm(): Promise<void>;
}

/** A screen that is being shown. */
export interface Shown {
  /** The service's cursor that the screen has drawn up to; null when it does not follow changes. */
  cursor(): number | null;
  /** Told how many newer records the service has, or 0 when waiting records were saved after all, or the database was put back. */
  newer(records: number): void;
  leave(): void;
}

/** Puts itself into `root`. */
export type Screen = (root: HTMLElement, context: Context) => Shown;

/** Puts itself into `root` before anybody is let in. */
export type DoorScreen = (root: HTMLElement, door: Door) => Shown;

/** What a screen answers that follows no changes. */
export const STILL: Shown = { cursor: () => null, newer: () => undefined, leave: () => undefined };

/** Return a fresh id. `getRandomValues` is there on plain http too; `randomUUID` is not. */
export function freshId(): string {
  return uuid7(Date.now(), (bytes) => {
    crypto.getRandomValues(bytes as Uint8Array<ArrayBuffer>);
  });
}

/** Return a fresh id and moment for a record. */
export function stamp(): Stamp {
  return { id: freshId(), at: new Date().toISOString() };
}

/** Return the crew that this device may speak for; null speaks for any. */
export function speaksFor({ who, farm }: Context): string | null {
  if (who.state === "device") return who.device?.crew_id ?? null;
  const access = who.farms.find(({ id }) => id === farm.id);
  return access?.role === "foreman" ? access.crew_id : null;
}

/** Return the crew this device works for, when it was picked and still exists. */
export function pickedCrew({ device, farm }: Context): Crew | null {
  const id = device.get("crew");
  return farm.crews.find((crew) => crew.id === id) ?? null;
}

/** Return the person who makes records on this tablet now, or null: the tablet may have been given back since the screen was opened. */
export function recorderId({ who, holding }: Context): string | null {
  return holding.known(who).device?.holder?.id ?? null;
}
