import { describe, expect, it } from "vitest";
import { IMPORT, SET_UP } from "../../src/core/set-up-wording";
import { RECORD, SETTLING } from "../../src/core/settling-wording";
import * as BRIEF_WORDS from "../../src/core/briefs-wording";
import { HOLDER, PAIR } from "../../src/core/pair-wording";
import { PEOPLE } from "../../src/core/people-wording";
import { FIRST_START, PASSWORD_FAULT, SIGN_IN } from "../../src/core/sign-in-wording";
import { HERE } from "../../src/core/who-wording";
import { CHECKS } from "../../src/core/checks-wording";
import { PICKER } from "../../src/core/picker-wording";
import { HINDRANCE, PARTS, QUEUE, SHORTCOMING } from "../../src/core/queue-wording";
import { BY_NUMBER, KNOCK_OFF, ROWS, TABLET, TOOLS, WALK } from "../../src/core/rows-wording";
import * as AREA_WORDS from "../../src/core/quality-areas-wording";
import * as LOT_WORDS from "../../src/core/quality-lot-wording";
import { QUALITY_NEEDS } from "../../src/core/quality-needs-wording";
import * as QUALITY_WORDS from "../../src/core/quality-wording";
import type { Standing } from "../../src/core/crew-contracts";
import { TIMING } from "../../src/core/timing-wording";
import { WEATHER_NEEDS } from "../../src/core/weather-needs-wording";
import { OVERVIEW } from "../../src/core/overview-wording";
import { blockVerdict, lotWords, SCREEN_WORD, SHELL, TREE_VERDICT } from "../../src/core/wording";

/** Return every fixed sentence of a part of the catalogue. */
function sentences(value: unknown): string[] {
  if (typeof value === "string") return [value];
  if (typeof value === "object" && value !== null) return Object.values(value).flatMap(sentences);
  return [];
}
const door = [FIRST_START, HERE, HOLDER, PAIR, PASSWORD_FAULT, PEOPLE, SIGN_IN];
const screens = [BRIEF_WORDS, TIMING, WEATHER_NEEDS, IMPORT, SET_UP, CHECKS, OVERVIEW, SHELL, SCREEN_WORD, TREE_VERDICT];
const tablet = [PICKER, ROWS, BY_NUMBER, KNOCK_OFF, TABLET, TOOLS, WALK];
const quality = [AREA_WORDS, LOT_WORDS, QUALITY_NEEDS, QUALITY_WORDS];
const all = [...door, ...quality, ...tablet, RECORD, SETTLING, QUEUE, HINDRANCE, PARTS, SHORTCOMING, ...screens].flatMap(sentences);

describe("the words of a lot", () => {
  it("show the numbers that the verdict was made from, and keep trees seen while walking apart", () => {
    const lot = { checked: 181, drawn: 148, drawn_faulty: 7, must_check: 200, may_fail: 10 };
    expect(lotWords(lot)).toBe("drawn 148 of 200, 7 faulty (at most 10); 33 seen while walking");
    expect(lotWords({ ...lot, checked: 200, drawn: 200 })).toBe("drawn 200, 7 faulty (at most 10)");
    // faulty trees that were gone over since are not told as if they stood
    expect(lotWords({ ...lot, checked: 148, must_check: 23, drawn: 23, drawn_faulty: 0, faulty_gone_over: 5 })).toBe("drawn 23, 5 were faulty, gone over since; 125 seen while walking");
    expect(lotWords({ ...lot, checked: 148, faulty_gone_over: 1 })).toBe("drawn 148 of 200, 7 faulty (at most 10), 1 was faulty, gone over since");
    expect(lotWords({ checked: 0, drawn: 0, drawn_faulty: 0, must_check: null, may_fail: null })).toBe("none drawn");
  });
  it("promise no number of trees before a lot is planned: a crew that is looked at closely has more drawn", () => {
    const lot = { checked: 1, drawn: 0, drawn_faulty: 0, must_check: 13, may_fail: 1 };
    expect(lotWords({ ...lot, lots_open: 0 })).toBe("none drawn; 1 seen while walking");
    expect(lotWords({ ...lot, lots_open: 1 })).toBe("drawn 0 of 13, 0 faulty (at most 1); 1 seen while walking");
  });
});

describe("the quality figure of the overview", () => {
  it("says of which trees it is a share", () => {
    expect(OVERVIEW.looked(1465, 1750, 190, 95)).toBe("1,465 of the 1,750 trees checked; 190 with minor faults, 95 faulty.");
  });
  it("says of all blocks with work which verdict they have, in one sentence without empty parts", () => {
    const lots = { accepted: 7, accepted_in_part: 4, send_back: 3, too_few: 5 };
    expect(OVERVIEW.verdicts(lots)).toBe("Blocks: 7 of 19 accepted, 4 in part, 3 to send back, 5 with too few checks.");
    expect(OVERVIEW.verdicts({ ...lots, accepted_in_part: 0, send_back: 0, too_few: 0 })).toBe("Blocks: 7 of 7 accepted.");
    expect(OVERVIEW.verdicts({ accepted: 0, accepted_in_part: 0, send_back: 0, too_few: 0 })).toBe("No block has a verdict yet.");
  });
});

describe("what the weather asks", () => {
  it("says how long ago a day was that is past", () => {
    const day = (ago: number): string => WEATHER_NEEDS.day("2026-01-12", ago);
    expect([0, 1, 5, -2].map(day)).toEqual(["12 Jan 2026", "yesterday, 12 Jan 2026", "5 days ago, 12 Jan 2026", "12 Jan 2026"]);
  });
});

describe("shares beside each other", () => {
  it("a crew's span has the sign once, and its share says which of two it is", () => {
    expect(AREA_WORDS.CREWS.shareSpan(32 / 314, AREA_WORDS.CREWS.span(0.073, 0.14))).toBe("10.2\u00a0%, likely 7.3 to 14\u00a0%");
  });
  it("agreement on faulty trees is told in percent, what is beyond chance as a coefficient", () => {
    const told = { value: 0.87, low: 0.7, high: 0.955 };
    expect([LOT_WORDS.AGREEMENT.share(told), LOT_WORDS.AGREEMENT.says(told)]).toEqual(["87\u00a0%, likely 70 to 95.5\u00a0%", "0.87, likely 0.70 to 0.96"]);
  });
  it("how often chance may show an area is said as people say it, not as a level", () => {
    expect(AREA_WORDS.WEAK.levelChoice(0.05, 1)).toBe("1 time in 20: 1 area");
  });
});

describe("crews side by side", () => {
  it("begin with the answer: who stands out, or that nobody does; nothing is said of crews with too few checks", () => {
    const crew = (name: string, standing: Standing) => ({ crew: name, standing });
    const { answer } = AREA_WORDS.CREWS;
    const alike = [crew("Finch", "as_others"), crew("Wren", "as_others"), crew("Rook", "too_few_checks")];
    expect(answer(alike)).toBe("No crew stands out: chance alone explains the differences.");
    expect(answer([...alike, crew("Stoat", "more_faulty"), crew("Heron", "more_faulty"), crew("Plover", "fewer_faulty")])).toBe(
      "More faulty trees than chance explains: Stoat, Heron. Fewer faulty trees than chance explains: Plover.",
    );
    expect(answer([crew("Rook", "too_few_checks")])).toBe("");
  });
});

describe("the verdict on a block", () => {
  it("says of how many trees it speaks where that is not nearly all", () => {
    expect(blockVerdict({ verdict: "accepted_in_part", pruned: 2060, uninspected: 2000 })).toBe("accepted as far as judged: 60 of 2,060 trees");
    expect(blockVerdict({ verdict: "accepted", pruned: 2060, uninspected: 20 })).toBe("accepted");
    expect(blockVerdict({ verdict: "send_back", pruned: 2060, uninspected: 2000 })).toBe("send back");
  });
});

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
    const buttons = [ROWS.markIt, ROWS.leaveIt, ROWS.undo(120), ROWS.undoRows(12), ROWS.takeBack, BY_NUMBER.mark(120), ...Object.values(TOOLS), ...Object.values(TREE_VERDICT)];
    expect(buttons.filter((words) => words.length > 16)).toEqual([]);
  });

  it("numbers along a row are positions; trees are counted", () => {
    // a row of 76 positions with two blanks has 74 trees
    expect(ROWS.choosing(3, 1, 76, 74)).toBe("Row 3, positions 1 to 76: 74 trees");
    expect(ROWS.marked(3, ROWS.part(1, 76), 74)).toBe("Marked: row 3, positions 1 to 76: 74 trees.");
    const numbered = [ROWS.markLine(1, 2, 3), ROWS.part(1, 2), CHECKS.here(1, 2), CHECKS.line(1, 2), CHECKS.saved(1, 2, "x")];
    expect([...numbered, ...all].filter((sentence) => /\btrees? \d/.test(sentence))).toEqual([]);
  });

  it("says the singular where there is one", () => {
    expect(QUEUE.waiting(1)).toMatch(/^1 record waits/);
    expect(ROWS.part(7, 7)).toBe("position 7");
    expect(OVERVIEW.recent(77, 1)).not.toMatch(/days/);
  });
});
