/** Questions in turn: never more than so many at once, in their order, and one that fails makes room for the next. */

import { expect, it } from "vitest";
import { aloneOf, inTurn } from "../../src/data/in-turn";
import type { Request } from "../../src/data/request";

function kit() {
  const open = new Map<string, { settle(answer: string): void; refuse(error: Error): void }>();
  const asked: string[] = [];
  const request = ((path: string) => {
    asked.push(path);
    return new Promise<string>((settle, refuse) => open.set(path, { settle, refuse }));
  }) as unknown as Request;
  return { open, asked, request };
}
const settled = (): Promise<void> => new Promise((done) => setTimeout(done, 0));

it("asks at most so many at once, in the order in which they came, and each gets its own answer", async () => {
  const { open, asked, request } = kit();
  const ask = inTurn(request, 2);
  const answers = ["a", "b", "c", "d"].map((path) => ask<string>(path));
  await settled();
  expect(asked).toEqual(["a", "b"]);
  open.get("b")?.settle("B");
  await settled();
  expect(asked).toEqual(["a", "b", "c"]);
  for (const path of ["a", "c"]) open.get(path)?.settle(path.toUpperCase());
  await settled();
  open.get("d")?.settle("D");
  expect(await Promise.all(answers)).toEqual(["A", "B", "C", "D"]);
  void ask("e");
  void ask("f");
  await settled();
  expect(asked).toEqual(["a", "b", "c", "d", "e", "f"]);
});

it("one that fails is told so and makes room", async () => {
  const { open, asked, request } = kit();
  const ask = inTurn(request, 1);
  const first = ask("a");
  const second = ask<string>("b");
  await settled();
  expect(asked).toEqual(["a"]);
  open.get("a")?.refuse(new Error("no"));
  await expect(first).rejects.toThrow("no");
  await settled();
  open.get("b")?.settle("B");
  expect(await second).toBe("B");
});

/** The locks of a browser, as far as they are used: first come, first served, and a wait that is given up. */
function locks(): Pick<LockManager, "request"> {
  let last: Promise<unknown> = Promise.resolve();
  const request = (_name: string, { signal }: LockOptions, run: () => unknown) =>
    new Promise((settle, refuse) => {
      let begun = false;
      signal?.addEventListener("abort", () => begun || refuse(signal.reason as Error));
      last = last.then(() => {
        if (signal?.aborted === true) return;
        begun = true;
        return Promise.resolve(run()).then(settle, refuse);
      });
    });
  return { request } as unknown as Pick<LockManager, "request">;
}

it("of several pages one asks at a time, and one that fails makes room", async () => {
  const shared = locks();
  const { open, asked, request } = kit();
  const [mine, others] = [aloneOf(shared), aloneOf(shared)];
  const first = mine(() => request<string>("mine"));
  const second = others(() => request<string>("theirs"));
  await settled();
  expect(asked).toEqual(["mine"]);
  open.get("mine")?.refuse(new Error("no"));
  await expect(first).rejects.toThrow("no");
  await settled();
  expect(asked).toEqual(["mine", "theirs"]);
  open.get("theirs")?.settle("T");
  expect(await second).toBe("T");
});

it("a page that holds the turn for too long is passed over, and what was asked is asked once", async () => {
  const shared = locks();
  const { open, asked, request } = kit();
  void aloneOf(shared, 5)(() => request("sleeps"));
  const second = aloneOf(shared, 5)(() => request<string>("awake"));
  await new Promise((done) => setTimeout(done, 30));
  expect(asked).toEqual(["sleeps", "awake"]);
  open.get("sleeps")?.settle("S");
  open.get("awake")?.settle("A");
  expect(await second).toBe("A");
  await settled();
  expect(asked).toEqual(["sleeps", "awake"]);
});

it("without locks pages ask at once", async () => {
  const { open, asked, request } = kit();
  const first = aloneOf(undefined)(() => request<string>("a"));
  void aloneOf(undefined)(() => request("b"));
  await settled();
  expect(asked).toEqual(["a", "b"]);
  open.get("a")?.settle("A");
  expect(await first).toBe("A");
});
