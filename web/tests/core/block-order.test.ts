import { expect, it } from "vitest";
import { inOrderOfWork } from "../../src/core/block-order";

const block = (code: string, pruned: number, isClosed = false) => ({
  id: code,
  code,
  pruned,
  trees: 90,
  closed: isClosed ? { until: "2026-01-20T17:00:00Z", reason: "spray" } : null,
});

it("blocks worked in today come first, then begun, not begun, finished, and last the closed ones; by number each", () => {
  const blocks = [block("K10", 0), block("K9", 0), block("K8", 90), block("K7", 30, true), block("K6", 30), block("K5", 90), block("K4", 1, true)];
  const codes = inOrderOfWork(blocks, new Set(["K5", "K10", "K4"])).map(({ code }) => code);
  expect(codes).toEqual(["K5", "K10", "K6", "K9", "K8", "K4", "K7"]);
});
