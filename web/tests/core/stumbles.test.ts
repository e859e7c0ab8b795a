import { expect, it } from "vitest";
import { stumblesOf, TRIES, type Step, type Stumbles } from "../../src/core/stumbles";

const times = (n: number, one: () => Step): Step[] => Array.from({ length: n }, one);
/** Stumbles whose search has begun. */
function begun(): Stumbles {
  const stumbles = stumblesOf();
  times(TRIES - 1, () => stumbles.failed(["a", "b"], 0));
  return stumbles;
}

it("the same goes again a few times, then half of it at once, and what is found by itself is left", () => {
  const stumbles = stumblesOf();
  expect(times(4, () => stumbles.failed(["a", "b"], 0))).toEqual(["wait", "wait", "halve", "halve"]);
  expect(stumbles.failed(["a"], 0)).toBe("leave");
  expect([stumbles.isLeft("a", 59_999), stumbles.isLeft("a", 60_000), stumbles.isLeft("b", 0)]).toEqual([true, false, false]);
});

it("an upload taken ends the count, except while a record is sought", () => {
  const stumbles = stumblesOf();
  for (let round = 0; round < 5; round += 1) {
    expect(times(TRIES - 1, () => stumbles.failed(["a", "b"], 0))).not.toContain("halve");
    stumbles.passed(["z"]);
  }
  const seeking = begun();
  seeking.failed(["a", "b"], 0);
  seeking.passed(["b"]);
  expect(seeking.failed(["a", "c"], 0)).toBe("halve");
  seeking.rest();
  expect(seeking.failed(["a", "c"], 0)).toBe("wait");
});

it("two that fail one after the other are the service's trouble; with one taken between they are two bad records", () => {
  const trouble = begun();
  expect([trouble.failed(["a"], 0), trouble.failed(["b"], 0)]).toEqual(["leave", "wait"]);
  const records = begun();
  expect(records.failed(["a"], 0)).toBe("leave");
  records.passed(["c"]);
  expect(records.failed(["b"], 0)).toBe("leave");
});

it("a record is left longer each time, ten minutes at most, and not at all once it was taken or the clock set back", () => {
  const stumbles = begun();
  const spans = [1, 2, 3, 4, 5, 6].map(() => {
    stumbles.failed(["a"], 0);
    return stumbles.nextMs(["a", "b"]);
  });
  expect(spans).toEqual([60_000, 120_000, 240_000, 480_000, 600_000, 600_000]);
  expect(stumbles.nextMs(["b"])).toBeNull();
  expect(stumbles.isLeft("a", -86_400_000)).toBe(false);
  stumbles.passed(["a"]);
  expect([stumbles.nextMs(["a"]), stumbles.isLeft("a", 0)]).toEqual([null, false]);
});
