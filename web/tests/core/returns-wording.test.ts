import { expect, it } from "vitest";
import { AGAIN_LIST } from "../../src/core/returns-list-wording";
import { blockAgain } from "../../src/core/returns-wording";

it("a return is late from the day after the one it was due on, in the list of blocks as over the rows", () => {
  expect(blockAgain(12, "2026-01-16", "2026-01-16")).toBe("again: 12 trees by Fri 16 Jan");
  expect(blockAgain(12, "2026-01-16", "2026-01-17")).toBe("again: 12 trees, late: due Fri 16 Jan");
  expect([blockAgain(12, undefined, "2026-01-17"), blockAgain(0, "2026-01-16", "2026-01-17")]).toEqual(["again: 12 trees", ""]);
  expect(AGAIN_LIST.title(1, "2026-01-16", "2026-01-16")).toBe("To go over again: 1 tree by Fri 16 Jan");
  expect(AGAIN_LIST.title(1, "2026-01-16", "2026-01-17")).toBe("To go over again: 1 tree, late: due Fri 16 Jan");
});

it("the list of blocks says whose it is where the tablet's own crew is not asked", () => {
  expect(blockAgain(12, "2026-01-16", "2026-01-16", "Finch")).toBe("again: 12 trees by Fri 16 Jan (Finch)");
  expect(blockAgain(12, undefined, "2026-01-17", "Finch, Wren")).toBe("again: 12 trees (Finch, Wren)");
});
