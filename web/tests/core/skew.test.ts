import { expect, it } from "vitest";
import { skewIn, skewOf, skewText, trueMs } from "../../src/core/skew";

it("is this clock against the service's, half-way between asking and hearing", () => {
  const server = Date.parse("2026-01-12T09:00:00Z");
  expect(skewOf(server + 59_000, server + 61_000, "2026-01-12T09:00:00Z")).toBe(60);
  for (const nothing of [null, undefined, "", "soon"]) expect(skewOf(0, 0, nothing)).toBeNull();
});

it("is read back as it was kept; anything else is as good as nothing", () => {
  const skew = { skew_s: -864_000.5, heard_at: "2026-01-12T09:00:00.000Z" };
  expect(skewIn(skewText(skew))).toEqual(skew);
  for (const odd of [null, "", "{", "1", "null", "{}", '{"skew_s":"1","heard_at":"x"}', '{"skew_s":1}']) expect(skewIn(odd)).toBeNull();
});

it("gives the service's clock back; unknown, this device's is taken for it", () => {
  const server = Date.parse("2026-01-12T23:59:30Z");
  expect(trueMs(server + 60_000, { skew_s: 60, heard_at: "" })).toBe(server);
  expect(trueMs(server, null)).toBe(server);
});
