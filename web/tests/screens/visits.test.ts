import { expect, it, vi } from "vitest";
import type { Farm, Who } from "../../src/core/contracts";
import type { Context, Screen } from "../../src/screens/context";
import { visitsOf, type VisitTools } from "../../src/screens/visits";

const who: Who = { state: "account", name: "", login: null, makes_farms: false, farms: [{ id: "f", name: "Farm", role: "auditor", crew_id: null, time_zone: "UTC", today: "2026-01-20" }], device: null, epoch: "e", version: "1" };
const farm = { id: "f", name: "Farm", time_zone: "UTC", today: "2026-01-20", season: null, crews: [], people: [] } as unknown as Farm;
const people = [{ id: "p", name: "Ann", role: "auditor" }] as unknown as Farm["people"];

it("a farm that was asked for before something was saved does not take the place of what was saved", async () => {
  vi.stubGlobal("location", { pathname: "/checks", search: "" });
  let given: Context | null = null;
  const checks: Screen = (_, context) => {
    given = context;
    return { cursor: () => null, newer: () => undefined, leave: () => undefined };
  };
  let answer: (late: Farm) => void = () => undefined;
  const late = new Promise<Farm>((done) => (answer = done));
  const saved = { ...farm, name: "As saved" };
  const api = { who: async () => who, farm: vi.fn(async () => farm), farmSaved: async () => saved };
  const shell = { main: {}, showFarm: () => undefined };
  const device = { get: () => null, set: () => undefined };
  const visits = visitsOf({ shell, screens: { checks }, doors: {}, given: { api, device, holding: { known: (one: Who) => one } }, arrived: () => undefined } as unknown as VisitTools);
  await visits.show();
  api.farm.mockReturnValueOnce(late);
  const names = visits.readNames();
  await (given as Context | null)?.readFarm();
  answer({ ...farm, people });
  await names;
  expect((given as Context | null)?.farm).toEqual(saved);
  vi.unstubAllGlobals();
});

it("names that no device keeps are learnt once the service is there again, and the screen stays as it is", async () => {
  vi.stubGlobal("location", { pathname: "/checks", search: "" });
  let given: Context | null = null;
  const checks = vi.fn<Screen>((_, context) => {
    given = context;
    return { cursor: () => null, newer: () => undefined, leave: () => undefined };
  });
  const api = { who: vi.fn(async () => who), farm: vi.fn(async () => farm) };
  const heads: (string | undefined)[] = [];
  const shell = { main: {}, showFarm: (_: unknown, __: unknown, ___: unknown, now: Who | null) => heads.push(now?.name) };
  const device = { get: () => null, set: () => undefined };
  const visits = visitsOf({ shell, screens: { checks }, doors: {}, given: { api, device, holding: { known: (one: Who) => one } }, arrived: () => undefined } as unknown as VisitTools);
  await visits.show();
  api.who.mockResolvedValue({ ...who, name: "Ann" });
  api.farm.mockResolvedValue({ ...farm, people });
  await visits.readNames();
  expect([(given as Context | null)?.farm.people, (given as Context | null)?.who.name, heads]).toEqual([people, "Ann", ["", "Ann"]]);
  expect(checks).toHaveBeenCalledTimes(1);
  // nothing is asked again where the names are known
  await visits.readNames();
  expect(api.who).toHaveBeenCalledTimes(2);
  vi.unstubAllGlobals();
});

it("a farm whose saving is answered once another farm is shown takes neither the title nor what is followed", async () => {
  vi.stubGlobal("location", { pathname: "/checks", search: "" });
  let given: Context | null = null;
  const checks: Screen = (_, context) => {
    given ??= context;
    return { cursor: () => null, newer: () => undefined, leave: () => undefined };
  };
  let answer: (late: Farm) => void = () => undefined;
  const late = new Promise<Farm>((done) => (answer = done));
  const farms = ["f", "g"].map((id) => ({ ...who.farms[0], id, name: id }));
  let chosen = "f";
  const api = { who: async () => ({ ...who, farms }), farm: async (id: string) => ({ ...farm, id, name: id }), farmSaved: () => late };
  const titles: (string | undefined)[] = [];
  const shell = { main: {}, showFarm: (now: Farm | null) => titles.push(now?.name) };
  const device = { get: () => chosen, set: () => undefined };
  const visits = visitsOf({ shell, screens: { checks }, doors: {}, given: { api, device, holding: { known: (one: Who) => one } }, arrived: () => undefined } as unknown as VisitTools);
  await visits.show();
  const saving = (given as Context | null)?.readFarm();
  chosen = "g";
  await visits.show();
  answer({ ...farm, name: "f" });
  await saving;
  expect([titles, visits.farm()]).toEqual([["f", "g"], "g"]);
  vi.unstubAllGlobals();
});

it("what is refused is shown anew where the role on the farm is another one now, and stays as it is where it is the same", async () => {
  vi.stubGlobal("location", { pathname: "/checks", search: "" });
  let shows = 0;
  const checks: Screen = () => {
    shows += 1;
    return { cursor: () => null, newer: () => undefined, leave: () => undefined };
  };
  const api = { who: vi.fn(async () => who), farm: async () => farm };
  const shell = { main: { replaceChildren: () => undefined }, showFarm: () => undefined };
  const device = { get: () => null, set: () => undefined };
  const visits = visitsOf({ shell, screens: { checks }, doors: {}, given: { api, device, holding: { known: (one: Who) => one } }, arrived: () => undefined } as unknown as VisitTools);
  await visits.show();
  await visits.refused();
  expect(shows).toBe(1);
  const other = { ...who, farms: who.farms.map((one) => ({ ...one, role: "manager" as const })) };
  api.who.mockResolvedValue(other);
  await visits.refused();
  await visits.refused();
  expect(shows).toBe(2);
  vi.unstubAllGlobals();
});
