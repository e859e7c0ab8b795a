import { describe, expect, it } from "vitest";
import type { Access, Who } from "../../src/core/contracts";
import { FARM_SCREENS } from "../../src/core/place";
import {
  codeInGroups,
  homeScreenFirst,
  inFragment,
  isPin,
  minutesLeft,
  passwordFault,
  passwordOffer,
  pinOf,
  pinWith,
  typedCode,
} from "../../src/core/door";
import { inLineAndMore, offeredScreens, roleAt, roleScreens, screenFor } from "../../src/core/who";
import { lockedUntil } from "../../src/core/sign-in-wording";

const ROLES: Access[] = ["manager", "foreman", "auditor", "adviser"];

describe("what is put before somebody whom a link let in", () => {
  const who = (role: Access, said: Partial<Who>): Who => ({
    state: "account", name: "Ada", login: "ada", makes_farms: false, device: null, epoch: null, version: "0", lapsed: null,
    farms: [{ id: "f", name: "Quern", time_zone: "UTC", today: "2026-11-25", role, crew_id: null }], ...said,
  });

  it("a first password for a manager alone, a new one for everybody whose link is fresh", () => {
    for (const role of ROLES) {
      const first = role === "manager" ? "first" : null;
      expect(passwordOffer(who(role, { has_password: false, fresh_link: true }))).toBe(first);
      expect(passwordOffer(who(role, { has_password: true, fresh_link: true }))).toBe("new");
      expect(passwordOffer(who(role, { has_password: true, fresh_link: false }))).toBe(null);
      expect(passwordOffer(who(role, { has_password: true }))).toBe(null);
    }
  });
});

describe("the screens of a role", () => {
  it("a manager has all of them, nobody else has what only a manager may do", () => {
    expect([...roleScreens("manager")].sort()).toEqual([...FARM_SCREENS].sort());
    for (const role of ROLES.filter((one) => one !== "manager")) {
      expect(roleScreens(role).filter((screen) => ["settling", "people", "set-up"].includes(screen))).toEqual([]);
    }
  });

  it("stand in one line of nine words at most: what is wanted seldom is behind the last, nothing is lost and nothing stands twice", () => {
    for (const role of ROLES) {
      const { inLine, more } = inLineAndMore(roleScreens(role));
      expect(inLine.length + Math.sign(more.length)).toBeLessThanOrEqual(9);
      expect([...inLine, ...more].sort()).toEqual([...roleScreens(role)].sort());
    }
    expect(inLineAndMore(roleScreens("adviser")).more).toEqual([]);
  });

  it("farms stand side by side for whoever manages or advises several", () => {
    const offered = (...roles: Access[]): boolean => offeredScreens("adviser", roles.map((role) => ({ role }))).includes("farms");
    expect([offered("adviser"), offered("adviser", "foreman"), offered("adviser", "auditor")]).toEqual([false, false, false]);
    expect([offered("adviser", "adviser"), offered("adviser", "manager")]).toEqual([true, true]);
    for (const role of ROLES) expect([...offeredScreens(role, []), "farms"]).toEqual(expect.arrayContaining([...roleScreens(role)]));
  });

  it("briefs are offered to who writes them", () => {
    expect(ROLES.filter((role) => roleScreens(role).includes("briefs"))).toEqual(["manager", "adviser"]);
    expect(roleScreens("adviser")[0]).toBe("briefs");
  });

  it("what a role has not leads to its first screen, what it has to that itself", () => {
    expect(screenFor("foreman", "overview")).toBe("rows");
    expect(screenFor("auditor", "settling")).toBe("checks");
    expect(screenFor("adviser", "rows")).toBe("briefs");
    for (const role of ROLES) for (const screen of roleScreens(role)) expect(screenFor(role, screen)).toBe(screen);
  });

  it("whoever has just come in and asked for nothing begins where her work is; a screen that was asked for is shown", () => {
    expect(ROLES.map((role) => screenFor(role, "overview", true))).toEqual(["overview", "rows", "checks", "briefs"]);
    expect([screenFor("auditor", "overview"), screenFor("auditor", "quality", true)]).toEqual(["overview", "quality"]);
  });

  it("the role is that of the farm, not of another farm", () => {
    const farm = (id: string, role: Access) => ({ id, name: id, time_zone: "UTC", today: "2026-11-25", role, crew_id: null });
    const who: Who = {
      state: "account", name: "Ada", login: "ada", makes_farms: false, device: null, epoch: null, version: "0",
      farms: [farm("a", "adviser"), farm("b", "manager")],
    };
    expect([roleAt(who, "a"), roleAt(who, "b"), roleAt(who, "c")]).toEqual(["adviser", "manager", null]);
  });
});

describe("a new password", () => {
  it("is held against the rule that the screen says before", () => {
    expect(passwordFault("eleven chars".slice(0, 11), "", "ada")).toBe("short");
    expect(passwordFault("Ada.of.Quern", "Ada.of.Quern", " ada.of.quern ")).toBe("login");
    expect(passwordFault("aaaaaaaaaaaa", "aaaaaaaaaaaa", "ada")).toBe("one_character");
    expect(passwordFault("202611252026", "202611252026", "ada")).toBe("digits");
    expect(passwordFault("kiln and quern", "kiln and querm", "ada")).toBe("not_the_same");
    expect(passwordFault("kiln and quern", "kiln and quern", "ada")).toBeNull();
  });

  it("is counted in characters: twelve halves of pairs are six", () => {
    expect(passwordFault("🌳🌲🌴🌵🌾🌿", "🌳🌲🌴🌵🌾🌿", "ada")).toBe("short");
  });
});

describe("a pairing code", () => {
  it("is the same however it is typed, and none until it is whole", () => {
    expect(typedCode(" k7q2-m4xw ")).toBe("K7Q2M4XW");
    expect(typedCode("K7Q2 M4XW")).toBe("K7Q2M4XW");
    expect(typedCode("lw03m2ll")).toBe("LWO3M2LL"); // a zero can only be the letter O
    expect([typedCode("K7Q2M4X"), typedCode("K7Q2M4XWA"), typedCode("K7Q2M4X_")]).toEqual([null, null, null]);
  });

  it("is read in two groups, which can be typed as they are", () => {
    expect(codeInGroups("K7Q2M4XW")).toBe("K7Q2 M4XW");
    expect(typedCode(codeInGroups("K7Q2M4XW"))).toBe("K7Q2M4XW");
  });
});

it("the fragment of an address gives one value or the whole, and nothing where there is none", () => {
  expect(inFragment("#link=a-b_c", "link")).toBe("a-b_c");
  expect(inFragment("#token=a%2Bb&x=1", "token")).toBe("a+b");
  expect(inFragment("#K7Q2M4XW", "")).toBe("K7Q2M4XW");
  expect([inFragment("", ""), inFragment("#", ""), inFragment("#link=", "link"), inFragment("#unlink=a", "link")]).toEqual([
    null, null, null, null,
  ]);
});

it("minutes left are rounded up, so that none are said only when the code is over", () => {
  const end = "2026-11-25T09:10:00Z";
  const at = (clock: string): number => minutesLeft(end, Date.parse(`2026-11-25T${clock}Z`));
  expect([at("09:00:00"), at("09:09:59"), at("09:10:00"), at("09:30:00")]).toEqual([10, 1, 0, 0]);
});

it("a lock-out says how long and until when, never zero minutes", () => {
  expect(lockedUntil("Sign in", 900, "07:42")).toBe("Too many wrong tries. Sign in again after 07:42, in 15 minutes.");
  expect(lockedUntil("Sign in", 5, "07:28")).toMatch(/in 1 minute\.$/);
});

it("the home screen comes first on an iPad in its browser, and nowhere else", () => {
  // since iPadOS 13 an iPad says Macintosh, and has a touch screen (common practice: no source of the maker was found)
  const ipad = { userAgent: "Mozilla/5.0 (Macintosh; Intel Mac OS X 10_15_7) AppleWebKit/605.1.15 Safari/605.1.15", touchPoints: 5 };
  expect(homeScreenFirst({ ...ipad, standalone: false })).toBe(true);
  expect(homeScreenFirst({ ...ipad, standalone: true })).toBe(false);
  expect(homeScreenFirst({ ...ipad, touchPoints: 0, standalone: false })).toBe(false);
  expect(homeScreenFirst({ userAgent: "Mozilla/5.0 (Linux; Android 15) Chrome/140", touchPoints: 5, standalone: false })).toBe(false);
});

describe("a PIN", () => {
  it("takes six digits and nothing else", () => {
    const typed = [..."12a34567"].reduce(pinWith, "");
    expect(typed).toBe("123456");
    expect([isPin(typed), isPin("12345"), isPin("1234567"), isPin("12345x")]).toEqual([true, false, false, false]);
  });

  it("made up, has each digit equally often: bytes over 249 are passed over", () => {
    expect(pinOf([250, 251, 252, 253, 254, 255, 0, 11, 22, 33, 44, 249, 7])).toBe("012349");
    const every = Array.from({ length: 256 }, (_, byte) => pinOf([byte])).filter((digit) => digit !== "");
    const often = new Map<string, number>();
    for (const digit of every) often.set(digit, (often.get(digit) ?? 0) + 1);
    expect([...often.values()]).toEqual(Array(10).fill(25));
  });
});
