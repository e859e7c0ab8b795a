import { expect, it } from "vitest";
import { unsavedDraftsOf } from "../../src/data/unsaved-drafts";
import { content, LIMBS } from "../core/brief-kit";

function shelf(): Map<string, string> & { getItem(key: string): string | null; setItem(key: string, value: string): void; removeItem(key: string): void } {
  const kept = new Map<string, string>();
  return Object.assign(kept, {
    getItem: (key: string) => kept.get(key) ?? null,
    setItem: (key: string, value: string) => void kept.set(key, value),
    removeItem: (key: string) => void kept.delete(key),
  });
}

it("what is not saved is there on the next visit, for whoever wrote it and for that brief alone", () => {
  const here = shelf();
  const draft = { revision: 4, content: content([LIMBS]) };
  unsavedDraftsOf(here, "ada", "b1").keep(draft);
  expect(JSON.stringify(unsavedDraftsOf(here, "ada", "b1").read())).toBe(JSON.stringify(draft));
  expect([unsavedDraftsOf(here, "ida", "b1").read(), unsavedDraftsOf(here, "ada", "b2").read()]).toEqual([null, null]);
  unsavedDraftsOf(here, "ada", "b1").forget(content([]));
  expect(here.size).toBe(1); // another content was saved meanwhile, from this page left behind
  unsavedDraftsOf(here, "ada", "b1").forget(content([LIMBS]));
  expect(here.size).toBe(0);
});

it("a storage that refuses, or that holds something else, is as good as none", () => {
  const refusing = { getItem: () => "{", setItem: () => { throw new Error("full"); }, removeItem: () => { throw new Error("refused"); } };
  const drafts = unsavedDraftsOf(refusing, "ada", "b1");
  expect(drafts.read()).toBeNull();
  expect(() => { drafts.keep({ revision: 1, content: content([]) }); drafts.forget(); }).not.toThrow();
});
