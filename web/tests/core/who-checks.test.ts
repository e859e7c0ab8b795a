import { describe, expect, it } from "vitest";
import type { Person, Who } from "../../src/core/contracts";
import { auditorHere, auditorNow, auditorsOf } from "../../src/core/who-checks";

const person = (id: string, name: string, role: Person["role"] = "auditor"): Person => ({ id, name, role, crew_id: null });
const people = [person("ada", "Ada Quern"), person("ben", "Ben Ashdown"), person("cy", "Cy Thorn", "foreman")];
const account = (name: string): Who =>
  ({ state: "account", name, device: null, farms: [] }) as unknown as Who;
const tablet = (holder: string | null): Who =>
  ({ state: "device", name: "Tablet 3", device: { id: "d", holder: holder === null ? null : { id: holder, name: "" } }, farms: [] }) as unknown as Who;

describe("who is here to check", () => {
  it("is the auditor who goes by the account's name, in any case", () => {
    expect(auditorHere(account("ada quern "), people)).toBe("ada");
  });

  it("is nobody where no auditor, or more than one, goes by that name", () => {
    expect(auditorHere(account("Cy Thorn"), people)).toBeNull();
    expect(auditorHere(account("Ada Quern"), [...people, person("ada2", "Ada Quern", "manager")])).toBeNull();
  });

  it("is whoever holds the tablet, with names known or not", () => {
    expect(auditorHere(tablet("ben"), people)).toBe("ben");
    expect(auditorHere(tablet("ben"), [])).toBe("ben");
    expect(auditorHere(tablet(null), [])).toBeNull();
    expect(auditorHere(tablet("cy"), people)).toBeNull();
  });

  it("cannot be told of an account where names are not kept", () => {
    expect(auditorHere(account(""), [])).toBeUndefined();
  });

  it("managers and auditors may check, nobody else", () => {
    expect(auditorsOf([...people, person("m", "Em", "manager")]).map(({ id }) => id)).toEqual(["ada", "ben", "m"]);
  });
});

describe("who checks now", () => {
  it("begins with whoever is here, and a pick of somebody else holds while the same person is here", () => {
    const begun = auditorNow("ada", { id: null, by: null });
    expect(begun).toEqual({ id: "ada", by: "ada" });
    const picked = { id: "ben", by: "ada" };
    expect(auditorNow("ada", picked)).toBe(picked);
    expect(auditorNow(undefined, picked)).toBe(picked);
  });

  it("is never left to the next person: another account, or a tablet that was given back", () => {
    expect(auditorNow("ben", { id: "ada", by: "ada" })).toEqual({ id: "ben", by: "ben" });
    expect(auditorNow(null, { id: "ada", by: "ada" })).toEqual({ id: null, by: null });
  });

  it("with nobody known it is whoever was picked by hand", () => {
    const picked = { id: "ada", by: null };
    expect(auditorNow(null, picked)).toBe(picked);
  });
});
