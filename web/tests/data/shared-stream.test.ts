/** Windows of one browser over one stream: one has it, all hear, and nothing is lost when another takes over. */

import { expect, it } from "vitest";
import type { LogPlace, Stream } from "../../src/data/live";
import { sharedStream, type SharingTools } from "../../src/data/shared-stream";

/** Locks and a channel between windows as a browser has them. */
function browser() {
  const waiting = new Map<string, (() => Promise<void>)[]>();
  const streams: { address: string; closed: boolean; say(place: LogPlace): void; fail(): void }[] = [];
  const channels: EventTarget[] = [];
  const turn = async (name: string): Promise<void> => {
    await waiting.get(name)?.[0]?.();
    waiting.get(name)?.shift();
    if ((waiting.get(name)?.length ?? 0) > 0) void turn(name);
  };
  const locks = {
    request: (name: string, { signal }: LockOptions, run: () => Promise<void>) =>
      new Promise<void>((settle, refuse) => {
        const line = waiting.get(name) ?? [];
        waiting.set(name, line);
        let begun = false;
        const mine = async (): Promise<void> => {
          begun = true;
          await run();
          settle();
        };
        signal?.addEventListener("abort", () => {
          if (begun) return;
          line.splice(line.indexOf(mine), 1);
          refuse(signal.reason as Error);
        });
        if (line.push(mine) === 1) void turn(name);
      }),
  };
  const open = (address: string): Stream => {
    const said = new EventTarget();
    const made = {
      address,
      closed: false,
      say: (place: LogPlace) => said.dispatchEvent(new MessageEvent("change", { data: JSON.stringify(place) })),
      fail: () => said.dispatchEvent(new Event("error")),
    };
    streams.push(made as (typeof streams)[number]);
    return { addEventListener: said.addEventListener.bind(said) as Stream["addEventListener"], close: () => void (made.closed = true) };
  };
  const window = (farm: string, withLocks = true) => {
    const target = new EventTarget();
    channels.push(target);
    const channel = {
      postMessage: (data: unknown) => channels.filter((one) => one !== target).forEach((one) => one.dispatchEvent(new MessageEvent("message", { data }))),
      addEventListener: target.addEventListener.bind(target) as BroadcastChannel["addEventListener"],
      removeEventListener: target.removeEventListener.bind(target) as BroadcastChannel["removeEventListener"],
    };
    const tools: SharingTools = { locks: withLocks ? (locks as unknown as Pick<LockManager, "request">) : undefined, channel, open };
    const stream = sharedStream(farm, tools);
    const heard: (number | "error")[] = [];
    stream.addEventListener("change", (event) => heard.push((JSON.parse((event as MessageEvent<string>).data) as LogPlace).cursor));
    stream.addEventListener("error", () => heard.push("error"));
    return { heard, close: () => stream.close() };
  };
  return { streams, window };
}
const settled = (): Promise<void> => new Promise((done) => setTimeout(done, 0));
const at = (cursor: number): LogPlace => ({ cursor, epoch: "e" });

it("one window has the stream, and each hears once what it says", async () => {
  const { streams, window } = browser();
  const windows = [window("f 1"), window("f 1"), window("f 1")];
  await settled();
  expect(streams.map(({ address }) => address)).toEqual(["/api/farms/f%201/events"]);
  streams[0]!.say(at(1));
  streams[0]!.fail();
  streams[0]!.say(at(2));
  expect(windows.map(({ heard }) => heard)).toEqual(Array(3).fill([1, "error", 2]));
});

it("when it goes the next one takes over, and who left meanwhile does not", async () => {
  const { streams, window } = browser();
  const [first, second, third] = [window("f"), window("f"), window("f")];
  await settled();
  second!.close();
  first!.close();
  await settled();
  expect(streams.map(({ closed }) => closed)).toEqual([true, false]);
  streams[0]!.say(at(8)); // what was left says nothing
  streams[1]!.say(at(9));
  expect([first!.heard, second!.heard, third!.heard]).toEqual([[], [], [9]]);
});

it("another farm has a stream of its own, and is not heard", async () => {
  const { streams, window } = browser();
  const [mine, other] = [window("f"), window("g")];
  await settled();
  streams[1]!.say(at(5));
  expect([streams.length, mine!.heard, other!.heard]).toEqual([2, [], [5]]);
});

it("without locks each window has a stream, and hears no other's", () => {
  const { streams, window } = browser();
  const windows = [window("f", false), window("f", false)];
  streams[0]!.say(at(3));
  streams[1]!.say(at(4));
  expect(windows.map(({ heard }) => heard)).toEqual([[3], [4]]);
});
