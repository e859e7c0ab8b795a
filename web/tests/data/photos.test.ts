/** Photos wait on the device until the service has their check, go once, and are offered again to a database that was put back. */

import { beforeEach, describe, expect, it } from "vitest";
import type { Entry } from "../../src/core/outbox";
import { databaseOf } from "../../src/data/database";
import { photosOf, type Photos } from "../../src/data/photos";
import type { Request, RequestOptions } from "../../src/data/request";
import { freshDisk, noAnswer, problem } from "./device-kit";

let checks: Map<string, string | null>;
let asked: string[];
let answer: (path: string) => void;
const jpeg = (byte: number): ArrayBuffer => new Uint8Array([0xff, 0xd8, byte]).buffer;
const request: Request = async <Answer>(path: string, options?: RequestOptions): Promise<Answer> => {
  answer(path);
  asked.push(`${options?.method ?? ""} ${path} ${new Uint8Array(options?.jpeg ?? new ArrayBuffer(0)).join()}`);
  return null as Answer;
};
const entries = (): Entry[] => [...checks].map(([id, acked_at]) => ({ id, kind: "checks", acked_at }) as unknown as Entry);
const opened = (): Photos => photosOf({ database: databaseOf({ outdated: () => undefined, held: () => undefined }), request, entries });
const photo = (id: string, checkId: string) => ({ id, farmId: "f", checkId, jpeg: jpeg(id.charCodeAt(1)) });

beforeEach(() => {
  freshDisk();
  checks = new Map();
  asked = [];
  answer = () => undefined;
});

describe("photos of checks", () => {
  it("wait for their check, over a reload, and go once", async () => {
    const first = opened();
    expect(await first.keep(photo("p1", "c1"))).toBe(true);
    expect(await first.send()).toBe(0); // its tree is being judged still
    checks.set("c1", null);
    expect(await first.send()).toBe(1);
    const second = opened();
    expect(await second.send()).toBe(1);
    expect(asked).toEqual([]);
    checks.set("c1", "2026-01-20T10:00:00Z");
    expect(await second.send()).toBe(0);
    expect(await second.send()).toBe(0);
    expect(asked).toEqual(["PUT /farms/f/photos/p1?check_id=c1 255,216,49"]);
  });

  it("are offered again when their check was", async () => {
    const photos = opened();
    await photos.keep(photo("p1", "c1"));
    checks.set("c1", "2026-01-20T10:00:00Z");
    await photos.send();
    checks.set("c1", "2026-01-21T08:00:00Z");
    await photos.send();
    expect(asked).toHaveLength(2);
  });

  it("go from the device with their check, not before they were sent", async () => {
    const photos = opened();
    await photos.keep(photo("p1", "c1"));
    await photos.keep(photo("p2", "c2"));
    checks.set("c1", "2026-01-20T10:00:00Z");
    await photos.send();
    checks.delete("c1");
    await photos.send();
    expect((await photos.read(["p1", "p2"])).map(({ id }) => id)).toEqual(["p2"]);
  });

  it("wait where there is no answer, and try no other one then", async () => {
    const photos = opened();
    for (const id of ["p1", "p2"]) {
      await photos.keep(photo(id, id));
      checks.set(id, "2026-01-20T10:00:00Z");
    }
    const tried: string[] = [];
    answer = (path) => {
      tried.push(path);
      throw noAnswer();
    };
    expect(await photos.send()).toBe(2);
    expect(tried).toHaveLength(1);
    answer = () => undefined;
    expect(await photos.send()).toBe(0);
  });

  it("that the service refuses are kept and hold nothing up; one whose check it does not know yet waits", async () => {
    const photos = opened();
    for (const id of ["p1", "p2", "p3"]) {
      await photos.keep(photo(id, id));
      checks.set(id, "2026-01-20T10:00:00Z");
    }
    answer = (path) => {
      if (path.includes("/p1?")) throw problem(422);
      if (path.includes("/p2?")) throw problem(404);
    };
    expect(await photos.send()).toBe(1);
    expect(asked.map((one) => one.split(" ")[1])).toEqual(["/farms/f/photos/p3?check_id=p3"]);
    const [refused] = await photos.read(["p1"]);
    expect(refused?.refused).not.toBe("");
    expect(await photos.refused()).toEqual([{ id: "p1", checkId: "p1", why: refused?.refused }]);
    expect(await opened().refused(), "after a reload").toHaveLength(1);
    await photos.remove("p1");
    expect(await photos.refused()).toEqual([]);
  });

  it("that nobody wants are gone", async () => {
    const photos = opened();
    await photos.keep(photo("p1", "c1"));
    await photos.remove("p1");
    expect(await photos.read(["p1"])).toEqual([]);
    checks.set("c1", "2026-01-20T10:00:00Z");
    expect(await photos.send()).toBe(0);
    expect(asked).toEqual([]);
  });
});

it("a photo that was taken for no check, here or to come, is removed; others stay", async () => {
  const photos = opened();
  for (const [id, check] of [["p1", "kept"], ["p2", "open"], ["p3", "gone"]] as const) await photos.keep(photo(id, check));
  checks.set("kept", null);
  await photos.sweep(new Set(["open"]));
  expect((await photos.read(["p1", "p2", "p3"])).map(({ id }) => id)).toEqual(["p1", "p2"]);
});
