import { beforeEach, expect, it } from "vitest";
import { freshDisk, noAnswer, openTab, serviceOf, type Service } from "./device-kit";

let service: Service;
beforeEach(() => {
  freshDisk();
  service = serviceOf();
});

it("handing in ends when the record is on disk, whether the service answers or not", async () => {
  const tab = openTab(service);
  let release = (): void => undefined;
  const held = new Promise<void>((go) => (release = go));
  service.state.disturb.push(async (_ids, commit) => {
    await held;
    return commit();
  });
  expect(await tab.handIn("a")).toEqual({ state: "kept" });
  expect(tab.states()).toEqual({ a: "waiting" });
  expect(tab.sending.unsafe()).toBe(0);
  release();
  await tab.sync.kick();
  expect(tab.states()).toEqual({ a: "sent" });
});

it("tells those who listen when the service has answered, until they stop", async () => {
  const tab = openTab(service);
  const heard: string[] = [];
  const stop = tab.sending.listen(() => heard.push(tab.states()["a"] ?? "none"));
  await tab.handIn("a");
  await tab.sync.kick();
  expect(heard).toContain("waiting");
  expect(heard.at(-1)).toBe("sent");
  stop();
  const before = heard.length;
  await tab.handIn("b");
  expect(heard).toHaveLength(before);
});

it("own records of a block are those that a log up to the cursor does not hold", async () => {
  const tab = openTab(service);
  await tab.handIn("a");
  await tab.sync.kick();
  service.state.always = () => {
    throw noAnswer();
  };
  await tab.handIn("b");
  const ids = (cursor: number) => tab.sending.pendingFor("b", { cursor }).map(({ id }) => id);
  expect(ids(0)).toEqual(["a", "b"]);
  expect(ids(1)).toEqual(["b"]);
  expect(tab.sending.pendingFor("elsewhere", { cursor: 0 })).toEqual([]);
});

it("trying again tells how many records were acknowledged by it", async () => {
  const tab = openTab(service);
  service.state.disturb.push(() => {
    throw noAnswer();
  });
  await tab.handIn("a", "b");
  await tab.sync.kick();
  expect(tab.states()).toEqual({ a: "waiting", b: "waiting" });
  expect(await tab.sending.tryAgain()).toBe(2);
  expect(await tab.sending.tryAgain()).toBe(0);
});
