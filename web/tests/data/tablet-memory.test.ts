import { expect, it } from "vitest";
import { tabletMemoryOf } from "../../src/data/tablet-memory";

const refusing = {
  getItem: () => null,
  setItem() {
    throw new Error("full");
  },
  removeItem: () => undefined,
};

it("settings of a tablet are kept on the shelf, and anything unknown there is the usual", () => {
  const shelf = new Map<string, string>([
    ["orchardmap.hand", "third"],
    ["orchardmap.light", "dusk"],
  ]);
  const kept = {
    getItem: (key: string) => shelf.get(key) ?? null,
    setItem: (key: string, value: string) => void shelf.set(key, value),
    removeItem: (key: string) => void shelf.delete(key),
  };
  const memory = tabletMemoryOf(kept);
  expect([memory.hand(), memory.light(), memory.lastBlock(), memory.walk("k1")]).toEqual(["right", "auto", null, null]);
  expect([memory.language(), memory.briefLanguage(), memory.briefRead("t")]).toEqual([null, "en", null]);
  expect(memory.lastHeard()).toBeNull();
  const moment = new Date("2026-01-20T16:30:00Z");
  memory.setLastHeard(moment);
  memory.setHand("left");
  memory.setLight("night");
  memory.setLastBlock("k1");
  memory.setWalk("k1", "{}");
  memory.setLanguage("es");
  memory.setBriefRead("t", "{}");
  const again = tabletMemoryOf(kept);
  expect([again.hand(), again.light(), again.lastBlock(), again.walk("k1"), again.walk("k2")]).toEqual(["left", "night", "k1", "{}", null]);
  expect(again.lastHeard()).toEqual(moment);
  expect([again.language(), again.briefRead("t"), again.briefRead("u")]).toEqual(["es", "{}", null]);
  again.setLastBlock(null);
  expect(tabletMemoryOf(kept).lastBlock()).toBeNull();
});

it("where the shelf refuses, they last until the page is left", () => {
  const memory = tabletMemoryOf(refusing);
  memory.setHand("left");
  memory.setLastBlock("k1");
  expect([memory.hand(), memory.lastBlock()]).toEqual(["left", "k1"]);
  memory.setLastBlock(null);
  expect(memory.lastBlock()).toBeNull();
});
