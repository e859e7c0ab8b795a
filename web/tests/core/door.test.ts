import { describe, expect, it } from "vitest";
import { pageBehind } from "../../src/core/door";

describe("the page behind the door", () => {
  it("is a map of this service, with all that its address says", () => {
    const page = "/map?farm=f-1&at=1.5,-2,17.3&blocks=a,b";
    expect(pageBehind(`?then=${encodeURIComponent(page)}`)).toBe(page);
  });

  it.each(["", "//evil.example/map?", "/map", "https://evil.example/map?x", "/\\evil.example/map?", "/map?x#y", "javascript:alert(1)", "/pay?x", "/map?\\x"])("is never %s", (page) => {
    expect(pageBehind(`?then=${encodeURIComponent(page)}`)).toBeNull();
  });
});
