import { describe, expect, it } from "vitest";
import { IMPORT, SET_UP } from "../../src/core/set-up-wording";
import { CHECKS } from "../../src/core/checks-wording";
import { OVERVIEW, ROWS, SCREEN_WORD, SHELL, TREE_VERDICT } from "../../src/core/wording";

/** Return every fixed sentence of a part of the catalogue. */
function sentences(value: unknown): string[] {
  if (typeof value === "string") return [value];
  if (typeof value === "object" && value !== null) return Object.values(value).flatMap(sentences);
  return [];
}
const all = [IMPORT, SET_UP, CHECKS, OVERVIEW, ROWS, SHELL, SCREEN_WORD, TREE_VERDICT].flatMap(sentences);

describe("the catalogue", () => {
  it("uses the glossary's word for a thing, never another one", () => {
    // glossary 01: block, row, position, blank, pollinizer, mark, withdrawal, overlap, check, verdict, foreman, auditor
    const others = /\b(field plot|paddock|parcel|lane|pollinator|pollenizer|conflict|inspection|inspector|supervisor|worker id|task|job)\b/i;
    expect(all.filter((sentence) => others.test(sentence))).toEqual([]);
  });

  it("has no empty sentence", () => {
    expect(all.filter((sentence) => sentence.trim() === "")).toEqual([]);
  });

  it("keeps the words on large buttons short enough for one line on a tablet", () => {
    const buttons = [ROWS.markIt, ROWS.leaveIt, ROWS.undo, ROWS.takeBack, ...Object.values(TREE_VERDICT)];
    expect(buttons.filter((words) => words.length > 16)).toEqual([]);
  });

  it("says the singular where there is one", () => {
    expect(SHELL.unsaved(1)).toMatch(/^1 record not/);
    expect(ROWS.part(7, 7)).toBe("tree 7");
    expect(OVERVIEW.recent(77, 1)).not.toMatch(/days/);
  });
});
