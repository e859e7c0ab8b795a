/** Questions in turn: never more than so many at once, in their order, and one that fails makes room for the next. */

import { expect, it } from "vitest";
import { inTurn } from "../../src/data/in-turn";
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
