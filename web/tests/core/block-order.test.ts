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

it("a finished block of which trees are to be gone over again is begun", () => {
  const blocks = [block("K1", 90), block("K2", 0), { ...block("K3", 90), again: 4 }, { ...block("K4", 30, true), again: 4 }];
  expect(inOrderOfWork(blocks, new Set()).map(({ code }) => code)).toEqual(["K3", "K2", "K1", "K4"]);
});
