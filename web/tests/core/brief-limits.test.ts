import { expect, it } from "vitest";
import { limitText, typedLimit } from "../../src/core/brief-limits";

it("a limit reads back as it is, with point or comma", () => {
  for (const limit of [0, 18, 22.5, 0.1, 140]) {
    for (const kind of ["count", "at_least", "at_most", "angle"] as const) {
      expect(typedLimit(limitText(limit, kind), kind)).toBe(limit);
      expect(typedLimit(limitText(limit, kind).replace(".", ","), kind)).toBe(limit);
    }
  }
});

it("a share is typed and read in percent, without the dust of binary", () => {
  expect([limitText(0.5, "ratio"), limitText(0.07, "ratio"), limitText(0.55, "ratio")]).toEqual(["50", "7", "55"]);
  for (let percent = 1; percent <= 100; percent += 1) expect(limitText(typedLimit(String(percent), "ratio") ?? null, "ratio")).toBe(String(percent));
});

it("an empty field is no limit, and what is no number is told apart from that", () => {
  expect([limitText(null, "count"), typedLimit("  ", "count")]).toEqual(["", null]);
  for (const text of ["many", "1e3", "1.2.3", "18-22", "∞"]) expect(typedLimit(text, "count")).toBeUndefined();
});
