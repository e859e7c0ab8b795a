import { expect, it } from "vitest";
import type { Farm, Season } from "../../src/core/contracts";
import { calendarWatch, changesReader, rounds, type FollowTools } from "../../src/screens/following";
import type { Live } from "../../src/data/live";
import { NoAnswer, Problem } from "../../src/data/request";
import { STILL } from "../../src/screens/context";

/** A screen that has drawn up to change 9, over a service that can be put back. */
function watching() {
  const service = { epoch: "e1", changes: 0, live: null as Pick<Live, "place"> | null };
  const told: number[] = [];
  const epochs: string[] = [];
  const screen = { ...STILL, cursor: () => 9, newer: (records: number) => void told.push(records) };
  const read = changesReader({
    api: { changes: async (_farm, after) => ({ changes: Array.from({ length: service.changes }, () => ({ seq: 10, kind: "mark", subject_id: "m", block_id: "b", row: 1 })), cursor: after + service.changes, epoch: service.epoch }) },
    live: () => service.live,
    sync: { heardEpoch: async (epoch) => void epochs.push(epoch) },
    visits: { shown: () => screen, show: async () => undefined, refused: async () => undefined },
    farmId: () => "f",
  });
  return { service, told, epochs, read };
}

it("tells the screen of newer records, and of nothing else", async () => {
  const { service, told, read } = watching();
  await read();
  expect(told).toEqual([]);
  service.changes = 2;
  await read();
  expect(told).toEqual([2]);
});

it("what a stream told is not asked for; where its last word is too old the service is asked", async () => {
  const { service, told, read } = watching();
  service.changes = 2;
  let place: ReturnType<Live["place"]> = { cursor: 14, epoch: "e1" };
  service.live = { place: () => place };
  await read();
  place = { cursor: 9, epoch: "e1" };
  await read();
  place = null;
  await read();
  expect(told).toEqual([5, 2]);
});

it("a database put back has no changes above what the screen has drawn; the screen is drawn anew, once", async () => {
  const { service, told, epochs, read } = watching();
  await read();
  service.epoch = "e2";
  await read();
  await read();
  expect(told).toEqual([0]);
  expect(epochs).toEqual(["e1", "e2", "e2"]);
});

it("a screen left open is drawn anew when the day turns, once, and no other than that", async () => {
  const farm = { id: "f", today: "2026-11-14", season: { id: "s1" } as Season } as Farm;
  const screen = { ...STILL };
  const page = { shown: screen as typeof STILL, drawn: 0 };
  const look = calendarWatch({
    ground: { farm: async (id) => ({ value: { ...farm, id }, madeAt: "" }) },
    visits: { shown: () => page.shown, show: async () => void (page.drawn += 1) },
    farmId: () => farm.id,
  });
  const drawnAfter = async (): Promise<number> => {
    const before = page.drawn;
    await look();
    await look();
    return page.drawn - before;
  };
  expect(await drawnAfter()).toBe(0);
  farm.today = "2026-11-15";
  expect(await drawnAfter()).toBe(1);
  farm.season = { id: "s2" } as Season; // made just now, on the form that is shown
  expect(await drawnAfter()).toBe(0);
  Object.assign(farm, { id: "g", today: "2026-11-16" }); // another farm was picked, and drawn as it is
  expect(await drawnAfter()).toBe(0);
  page.shown = STILL;
  farm.today = "2026-11-17";
  expect(await drawnAfter()).toBe(0);
});

it("while blocks are fetched for minutes the stream is opened all the same, and what changed is drawn", async () => {
  const told: number[] = [];
  const tended: (string | null)[] = [];
  const page = { live: null as Live | null, hidden: false, changes: 1 };
  const screen = { ...STILL, cursor: () => 9, newer: (records: number) => void told.push(records) };
  const tools = {
    api: { changes: async () => ({ changes: [], cursor: 9 + page.changes, epoch: "e1" }) },
    ground: { farm: async () => null, refresh: () => new Promise(() => undefined) }, // it never ends here
    sync: { heardEpoch: async () => undefined },
    visits: { shown: () => screen, isDead: () => false },
    farmId: () => "f",
    own: () => [],
    answered: () => true,
    wasLost: () => false,
    isBusy: () => false,
  } as unknown as FollowTools;
  const round = rounds(tools, () => page.live, () => page.hidden);
  void round();
  await new Promise((done) => setTimeout(done, 0));
  expect(told).toEqual([1]);
  // no stream yet: it is asked for
  page.changes = 2;
  await round();
  page.live = { tend: (farm) => void tended.push(farm), place: () => ({ cursor: 14, epoch: "e1" }) };
  await round();
  expect([told, tended]).toEqual([[1, 2, 5], ["f"]]);
  page.hidden = true;
  await round();
  expect([told, tended]).toEqual([[1, 2, 5], ["f"]]);
});

it("a farm that is known to one no longer is looked at once more by who asks; no answer changes nothing", async () => {
  const asked: string[] = [];
  const service = { error: new Problem(404, "Not known here", "no such farm", "", "", []) as Error };
  const screen = { ...STILL, cursor: () => 9 };
  const read = changesReader({
    api: { changes: async () => Promise.reject(service.error) },
    live: () => null,
    sync: { heardEpoch: async () => undefined },
    visits: { shown: () => screen, show: async () => void asked.push("show"), refused: async () => void asked.push("refused") },
    farmId: () => "f",
  });
  await read();
  service.error = new NoAnswer("The service did not answer.");
  await read();
  service.error = new Problem(401, "Sign in", "", "", "", []);
  await read();
  expect(asked).toEqual(["refused", "show"]);
});
