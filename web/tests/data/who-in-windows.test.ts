/** Who asks in several windows of one browser: each hears when it is somebody else in another one, and nothing else. */

import { expect, it } from "vitest";
import type { Who } from "../../src/core/contracts";
import { whoInWindows, type WhoChannel } from "../../src/data/who-in-windows";

const account = (login: string | null): Who => ({ state: login === null ? "nobody" : "account", name: "", login, makes_farms: false, farms: [], device: null, epoch: "e", version: "1" });

/** Windows of one browser: what one says all others hear. */
function windows(n: number) {
  const heard: EventTarget[] = Array.from({ length: n }, () => new EventTarget());
  const differs = heard.map(() => 0);
  const tell = heard.map((mine, at) => {
    const channel = {
      addEventListener: mine.addEventListener.bind(mine),
      postMessage: (data: unknown) => heard.forEach((other) => other !== mine && other.dispatchEvent(new MessageEvent("message", { data }))),
    } as unknown as WhoChannel;
    return whoInWindows(channel, () => void (differs[at] = (differs[at] ?? 0) + 1));
  });
  return { tell, differs };
}

it("whoever signs out or in in one window is told to those that show somebody else", () => {
  const { tell, differs } = windows(3);
  for (const one of tell) one(account("ann"));
  expect(differs).toEqual([0, 0, 0]);
  tell[0]?.(account(null));
  expect(differs).toEqual([0, 1, 1]);
  tell[1]?.(account(null));
  tell[2]?.(account(null));
  // those that show the same hear nothing
  expect(differs).toEqual([0, 1, 2]);
  tell[0]?.(account("bea"));
  expect(differs).toEqual([0, 2, 3]);
});

it("a window that has not learnt yet who asks learns it by itself", () => {
  const { tell, differs } = windows(2);
  tell[0]?.(account("ann"));
  expect(differs).toEqual([0, 0]);
});

it("shown again for the same person nothing is told, so that no form is taken away elsewhere", () => {
  const { tell, differs } = windows(2);
  for (const one of tell) one(account("ann"));
  for (let n = 0; n < 5; n += 1) tell[0]?.({ ...account("ann"), farms: [] });
  expect(differs).toEqual([0, 0]);
});
