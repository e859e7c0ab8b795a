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

it("is found by how its name begins, on disk and in memory, and gone once it is dropped", async () => {
  const disk = { full: false };
  const halfDone = halfDoneOf(spoilt(disk)(opened()));
  await halfDone.keep("walk:a:first", 1);
  await halfDone.keep("walking", 2);
  const next = halfDoneOf(spoilt(disk)(opened()));
  await next.keep("walk:b:first", 3);
  expect([...(await next.all("walk:"))].sort()).toEqual([["walk:a:first", 1], ["walk:b:first", 3]]);
  await next.drop("walk:a:first");
  await next.drop("walk:b:first");
  expect([...(await next.all("walk:"))]).toEqual([]);
  expect(await halfDoneOf(opened()).read("walk:b:first")).toBeUndefined();
  expect(await next.read("walking")).toBe(2);
});
