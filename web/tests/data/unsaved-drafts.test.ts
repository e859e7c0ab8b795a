import { expect, it } from "vitest";
import { unsavedDraftsOf } from "../../src/data/unsaved-drafts";
import { content, LIMBS, THIN } from "../core/brief-kit";

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
  unsavedDraftsOf(here, "ada", "b1", "page").keep(draft);
  expect(JSON.stringify(unsavedDraftsOf(here, "ada", "b1", "page").read())).toBe(JSON.stringify(draft));
  expect([unsavedDraftsOf(here, "ida", "b1", "page").read(), unsavedDraftsOf(here, "ada", "b2", "page").read()]).toEqual([null, null]);
  unsavedDraftsOf(here, "ada", "b1", "page").forget(content([]));
  expect(here.size).toBe(1); // another content was saved meanwhile, from this page left behind
  unsavedDraftsOf(here, "ada", "b1", "page").forget(content([LIMBS]));
  expect(here.size).toBe(0);
});

it("a storage that refuses, or that holds something else, is as good as none", () => {
  const refusing = { getItem: () => "{", setItem: () => { throw new Error("full"); }, removeItem: () => { throw new Error("refused"); } };
  const drafts = unsavedDraftsOf(refusing, "ada", "b1", "page");
  expect(drafts.read()).toBeNull();
  expect(() => { drafts.keep({ revision: 1, content: content([]) }); drafts.forget(); }).not.toThrow();
});

it("two windows on one brief each keep their own words, whichever saves", () => {
  const here = shelf();
  const [one, other] = [unsavedDraftsOf(here, "ada", "b1", "one"), unsavedDraftsOf(here, "ada", "b1", "other")];
  other.keep({ revision: 1, content: content([LIMBS]) }); // behind: the service refused it
  one.keep({ revision: 2, content: content([THIN]) });
  one.forget(content([THIN])); // saved
  const anew = unsavedDraftsOf(here, "ada", "b1", "anew");
  expect(anew.read()).toEqual({ revision: 1, content: content([LIMBS]) });
  anew.keep({ revision: 3, content: content([]) }); // what was taken up is written on here
  expect(unsavedDraftsOf(here, "ada", "b1", "last").read()).toEqual({ revision: 3, content: content([]) });
  anew.forget();
  expect(here.size).toBe(0);
});

it("what a page of before kept is taken up too", () => {
  const here = shelf();
  const draft = { revision: 4, content: content([LIMBS]) };
  here.setItem("orchardmap.draft.ada.b1", JSON.stringify(draft));
  expect(unsavedDraftsOf(here, "ada", "b1", "page").read()).toEqual(draft);
});
