import { expect, it } from "vitest";
import type { BriefLine, VersionHead } from "../../src/core/brief-contracts";
import { stateWords } from "../../src/core/brief-state";

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
