import { expect, it } from "vitest";
import type { BriefLine, BriefVersion, VersionHead } from "../../src/core/brief-contracts";
import { heldWords, stateWords } from "../../src/core/brief-state";
import { content, LIMBS, THIN } from "./brief-kit";

const line = (latest: VersionHead | null, is_changed = false): BriefLine => ({ id: "b", season_id: "s", variety_id: "v", block_id: null, latest, is_changed });
const third: VersionHead = { version: 3, published_at: "2026-01-11T23:30:00+00:00", published_by: "Ada Quern" };

it("a brief says whether it is there, published, by whom, on which of the farm's days, and changed since", () => {
  const zone = "Europe/Berlin"; // half past midnight of the 12th there
  expect(stateWords(null, zone)).toBe("No brief yet.");
  expect(stateWords(line(null), zone)).toBe("Draft, not published.");
  expect(stateWords(line(third), zone)).toBe("Version 3 of 12 Jan 2026 by Ada Quern.");
  expect(stateWords(line(third, true), zone)).toBe("Version 3 of 12 Jan 2026 by Ada Quern; the draft has changed since.");
  expect(stateWords(line({ ...third, published_by: "" }), "Europe/London")).toBe("Version 3 of 11 Jan 2026.");
});

it("while a draft is written, what crews go by is said", () => {
  const second = { ...third, version: 2, brief_id: "b", content: content([LIMBS]), texts: {} } as BriefVersion;
  expect(heldWords(null, content([LIMBS]))).toBe("Crews have no brief before this one is published.");
  const { en, es } = LIMBS.sentences as { en: string; es: string };
  expect(heldWords(second, content([{ ...LIMBS, sentences: { en, es } }]))).toBe("Crews go by version 2, which says the same.");
  for (const other of [content([THIN]), content([LIMBS, THIN]), content([{ ...LIMBS, low: 20 }]), content([LIMBS], { notes: { en: "Mind." } })]) {
    expect(heldWords(second, other)).toBe("Crews still go by version 2: publish to change that.");
  }
});
