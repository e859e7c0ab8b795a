/** What a block's ring shows of returns and weak areas is said in words too. */

import { expect, test } from "vitest";
import { ringWords } from "../../src/core/ring-wording";

test.each([
  [{}, ""],
  [{ again: 0, weak: 0 }, ""],
  [{ again: 1 }, "1 tree to go over again"],
  [{ weak: 2 }, "2 weak areas without a return"],
  [{ again: 1200, weak: 1 }, "1,200 trees to go over again; 1 weak area without a return"],
])("%j is said as %j", (block, said) => {
  expect(ringWords(block)).toBe(said);
});
