/**
 * Whose hand this tablet is in. It can be given back without a signal: here nobody holds it from then on, and the service
 * hears of it later. Taking it needs the service, which alone knows the PINs.
 */

import type { Who } from "../core/contracts";
import type { Device } from "./device";
import type { Request } from "./request";

export interface Holding {
  /** Return who asks as it is known here: with no holder once the tablet was given back. */
  known(who: Who): Who;
  /** Nobody holds the tablet of this pairing from now on. */
  giveBack(pairing: string): void;
  /** Let somebody take the tablet by `ask`; what was to be told of the one before is settled by it. */
  take(ask: () => Promise<Who>): Promise<Who>;
  /** Tell the service that the tablet was given back, where it has not heard. */
  settle(): Promise<void>;
}

export interface HoldingTools {
  request: Request;
  device: Pick<Device, "get" | "set">;
  /** The pairing that asks now; null for none. */
  paired(): string | null;
  /** How many records wait to be sent. */
  waiting(): number;
}

/** Return the holding. */
export function holdingOf({ request, device, paired, waiting }: HoldingTools): Holding {
  let last: Promise<unknown> = Promise.resolve();
  /** One after the other: a giving back that is on its way must not end what begins after it. */
  const inTurn = <Value>(run: () => Promise<Value>): Promise<Value> => {
    const mine = last.then(run, run);
    last = mine.catch(() => undefined);
    return mine;
  };
  const tell = async (): Promise<void> => {
    const given = device.get("givenBack");
    if (given === null || given === device.get("givenBackHeard")) return;
    // of a pairing that has ended the service knows already that nobody holds the tablet
    if (given !== paired()) return;
    // records first: they were made by whoever gave the tablet back since
    if (waiting() > 0) return;
    await request("/device/holder", { method: "DELETE" });
    device.set("givenBackHeard", given);
  };
  return {
    known(who) {
      const tablet = who.device;
      return tablet !== null && tablet.id === device.get("givenBack") ? { ...who, device: { ...tablet, holder: null } } : who;
    },
    giveBack(pairing) {
      device.set("givenBackHeard", null);
      device.set("givenBack", pairing);
    },
    take: (ask) =>
      inTurn(async () => {
        const who = await ask();
        // not before: what this device keeps of who asks may name the one before for long
        device.set("givenBack", null);
        return who;
      }),
    // no answer, or not allowed now: it is told the next time
    settle: () => inTurn(tell).catch(() => undefined),
  };
}
