/** Windows of one browser ask the service as the same person: whoever is let in or out in one of them is so in all. */

import type { Who } from "../core/contracts";

/** The part of a `BroadcastChannel` that is used. */
export type WhoChannel = Pick<BroadcastChannel, "postMessage" | "addEventListener">;

export const WHO_CHANNEL = "orchardmap-who";

/** Return what tells one that asks from another; what one may do can change, and is not told here. */
function keyOf({ state, login, device }: Who): string {
  return JSON.stringify([state, login, device?.id ?? null]);
}

/** Return what is to be told of whoever asks in this window; `differs` hears that it is somebody else, or nobody, in another one. */
export function whoInWindows(channel: WhoChannel, differs: () => void): (who: Who) => void {
  let mine: string | null = null;
  channel.addEventListener("message", (event) => {
    if (mine !== null && (event as MessageEvent<string>).data !== mine) differs();
  });
  return (who) => {
    const now = keyOf(who);
    if (now === mine) return;
    mine = now;
    channel.postMessage(now);
  };
}
