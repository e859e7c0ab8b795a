import { describe, expect, it } from "vitest";
import { edgeShare, held, positionAt } from "../../src/core/strip";

describe("positionAt", () => {
  it("gives back the position whose middle is touched, for every position", () => {
    const [widthPx, longest] = [873, 58];
    for (let position = 1; position <= longest; position += 1) {
      const middlePx = edgeShare(position + 0.5, longest) * widthPx;
      expect(positionAt(middlePx, widthPx, longest, longest)).toBe(position);
    }
  });

  it("holds a finger that left the strip inside the row", () => {
    expect(positionAt(-40, 800, 58, 40)).toBe(1);
    expect(positionAt(2_000, 800, 58, 40)).toBe(40);
  });
});

it("held keeps a value between its limits", () => {
  expect([held(0, 1, 9), held(5, 1, 9), held(12, 1, 9)]).toEqual([1, 5, 9]);
});
