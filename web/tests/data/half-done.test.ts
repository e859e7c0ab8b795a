/** What is half done outlives the page: the last touch stands, and a disk that refuses loses nothing while the page is open. */

import { beforeEach, expect, it } from "vitest";
import { databaseOf } from "../../src/data/database";
import { halfDoneOf } from "../../src/data/half-done";
import { freshDisk, spoilt } from "./device-kit";

const opened = () => databaseOf({ outdated: () => undefined, held: () => undefined });
beforeEach(freshDisk);

it("is read by the next page as it was kept last, however fast the touches came", async () => {
  const database = opened();
  const halfDone = halfDoneOf(database);
  await Promise.all(Array.from({ length: 40 }, (_, n) => halfDone.keep("count:b", { number: n })));
  database.close();
  const next = halfDoneOf(opened());
  expect(await next.read("count:b")).toEqual({ number: 39 });
  expect(await next.read("count:other")).toBeUndefined();
});

it("stays in memory where the disk refuses", async () => {
  const disk = { full: true };
  const halfDone = halfDoneOf(spoilt(disk)(opened()));
  await halfDone.keep("count:b", 7);
  expect(await halfDone.read("count:b")).toBe(7);
});
