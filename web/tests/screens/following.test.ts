import { expect, it } from "vitest";
import { changesReader } from "../../src/screens/following";
import { STILL } from "../../src/screens/context";

/** A screen that has drawn up to change 9, over a service that can be put back. */
function watching() {
  const service = { epoch: "e1", changes: 0 };
  const told: number[] = [];
  const epochs: string[] = [];
  const screen = { ...STILL, cursor: () => 9, newer: (records: number) => void told.push(records) };
  const read = changesReader({
    api: { changes: async (_farm, after) => ({ changes: Array.from({ length: service.changes }, () => ({ seq: 10, kind: "mark", subject_id: "m", block_id: "b", row: 1 })), cursor: after, epoch: service.epoch }) },
    sync: { heardEpoch: async (epoch) => void epochs.push(epoch) },
    visits: { shown: () => screen, show: async () => undefined },
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

it("a database put back has no changes above what the screen has drawn; the screen is drawn anew, once", async () => {
  const { service, told, epochs, read } = watching();
  await read();
  service.epoch = "e2";
  await read();
  await read();
  expect(told).toEqual([0]);
  expect(epochs).toEqual(["e1", "e2", "e2"]);
});
