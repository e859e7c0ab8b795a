import { describe, expect, it } from "vitest";
import { uuid7 } from "../../src/core/ids";

const bytesOf = (value: number) => (bytes: Uint8Array) => bytes.fill(value);

describe("uuid7", () => {
  it("is the published example of RFC 9562, appendix A.6", () => {
    // unix_ts_ms 0x017F22E279B0, rand_a 0xCC3, rand_b 0x18C4DC0C0C07398F
    const example = "017f22e2-79b0-7cc3-98c4-dc0c0c07398f";
    const random = example.replaceAll("-", "").match(/../g)?.map((pair) => Number.parseInt(pair, 16)) ?? [];
    expect(uuid7(0x017f22e279b0, (bytes) => bytes.set(random))).toBe(example);
  });

  it("carries version and variant whatever the random bytes are", () => {
    for (const value of [0x00, 0x5a, 0xff]) {
      expect(uuid7(1_764_000_000_000, bytesOf(value))).toMatch(/^[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/);
    }
  });

  it("sorts by time even when the earlier one has the larger random part", () => {
    expect(uuid7(1_764_000_000_000, bytesOf(0xff)) < uuid7(1_764_000_000_001, bytesOf(0x00))).toBe(true);
  });
});
