import { describe, expect, it } from "vitest";
import { isOwnMachine, pageBehind } from "../../src/core/door";

describe("the page behind the door", () => {
  it("is a map of this service, with all that its address says", () => {
    const page = "/map?farm=f-1&at=1.5,-2,17.3&blocks=a,b";
    expect(pageBehind(`?then=${encodeURIComponent(page)}`)).toBe(page);
  });

  it.each(["", "//evil.example/map?", "/map", "https://evil.example/map?x", "/\\evil.example/map?", "/map?x#y", "javascript:alert(1)", "/pay?x", "/map?\\x"])("is never %s", (page) => {
    expect(pageBehind(`?then=${encodeURIComponent(page)}`)).toBeNull();
  });
});

describe("isOwnMachine", () => {
  it.each(["http://127.0.0.1:8463/pair#code=1", "http://localhost/pair", "http://[::1]:8420/pair", "https://127.1.2.3/pair"])("%s reaches the machine itself alone", (address) => {
    expect(isOwnMachine(address)).toBe(true);
  });
  it.each(["https://orchard.lan:8420/pair", "http://192.168.1.20:8420/pair", "https://127.example/pair", "pair"])("%s does not", (address) => {
    expect(isOwnMachine(address)).toBe(false);
  });
});
