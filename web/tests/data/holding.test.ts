import { describe, expect, it } from "vitest";
import type { Who } from "../../src/core/contracts";
import { deviceOf } from "../../src/data/device";
import { holdingOf } from "../../src/data/holding";
import type { Request } from "../../src/data/request";
import { recorderId, type Context } from "../../src/screens/context";
import { noAnswer } from "./device-kit";

const held = (id: string): Who =>
  ({ state: "device", name: "", farms: [], device: { id, name: "Tablet 3", farm_id: "f", role: "foreman", crew_id: "c", holder: { id: "ada", name: "" } } }) as unknown as Who;

/** A tablet of pairing "d" over a shelf that outlives it; `calls` are those that reached the service. */
function tabletOf(shelf = new Map<string, string>()) {
  const state = { off: false, waiting: 0, pairing: "d" as string | null, calls: [] as string[], hold: null as Promise<void> | null };
  const request = (async (path: string, options: { method?: string } = {}) => {
    await state.hold;
    if (state.off) throw noAnswer();
    state.calls.push(`${options.method} ${path}`);
    return null;
  }) as Request;
  const memory = {
    getItem: (key: string) => shelf.get(key) ?? null,
    setItem: (key: string, value: string) => void shelf.set(key, value),
    removeItem: (key: string) => void shelf.delete(key),
  };
  const holding = holdingOf({ request, device: deviceOf(memory), paired: () => state.pairing, waiting: () => state.waiting });
  return { holding, state, shelf };
}
const GIVEN = "DELETE /device/holder";

describe("giving the tablet back", () => {
  it("without a signal nobody holds it from then on, after a restart too, and the service hears of it once", async () => {
    const { holding, state, shelf } = tabletOf();
    expect(holding.known(held("d")).device?.holder?.id).toBe("ada");
    state.off = true;
    holding.giveBack("d");
    await holding.settle();
    expect(holding.known(held("d")).device?.holder).toBeNull();
    const later = tabletOf(shelf);
    // the service still names the one who gave it back
    expect(later.holding.known(held("d")).device?.holder).toBeNull();
    await later.holding.settle();
    await later.holding.settle();
    expect(later.state.calls).toEqual([GIVEN]);
    // and what the device keeps of who asks may name her for long
    expect(tabletOf(shelf).holding.known(held("d")).device?.holder).toBeNull();
  });

  it("is told again when the same person took the tablet meanwhile and gave it back once more", async () => {
    const { holding, state } = tabletOf();
    holding.giveBack("d");
    await holding.settle();
    await holding.take(async () => held("d"));
    expect(holding.known(held("d")).device?.holder?.id).toBe("ada");
    holding.giveBack("d");
    await holding.settle();
    expect(state.calls).toEqual([GIVEN, GIVEN]);
  });

  it("leaves records made afterwards without a holder, on a screen that was open before too", () => {
    const { holding } = tabletOf();
    const context = { who: held("d"), holding } as unknown as Context;
    expect(recorderId(context)).toBe("ada");
    holding.giveBack("d");
    expect(recorderId(context)).toBeNull();
  });

  it("is told only after the records that were made before it", async () => {
    const { holding, state } = tabletOf();
    holding.giveBack("d");
    state.waiting = 1;
    await holding.settle();
    expect(state.calls).toEqual([]);
    expect(holding.known(held("d")).device?.holder).toBeNull();
    state.waiting = 0;
    await holding.settle();
    expect(state.calls).toEqual([GIVEN]);
  });

  it("never ends the holding of whoever takes the tablet next", async () => {
    const { holding, state } = tabletOf();
    state.off = true;
    holding.giveBack("d");
    await holding.settle();
    state.off = false;
    const who = await holding.take(async () => held("d"));
    await holding.settle();
    expect(state.calls).toEqual([]);
    expect(holding.known(who).device?.holder?.id).toBe("ada");
  });

  it("that is on its way comes before the taking that follows it", async () => {
    const { holding, state } = tabletOf();
    let go = (): void => undefined;
    state.hold = new Promise((done) => (go = done));
    holding.giveBack("d");
    const settled = holding.settle();
    const taken = holding.take(async () => {
      state.calls.push("taken");
      return held("d");
    });
    go();
    await Promise.all([settled, taken]);
    expect(state.calls).toEqual([GIVEN, "taken"]);
  });

  it("a PIN that is refused takes nothing back of it", async () => {
    const { holding } = tabletOf();
    holding.giveBack("d");
    await expect(holding.take(() => Promise.reject(noAnswer()))).rejects.toThrow();
    expect(holding.known(held("d")).device?.holder).toBeNull();
  });

  it("of a pairing that has ended is not told for the new one", async () => {
    const { holding, state } = tabletOf();
    holding.giveBack("d");
    state.pairing = "d2";
    expect(holding.known(held("d2")).device?.holder?.id).toBe("ada");
    await holding.settle();
    expect(state.calls).toEqual([]);
  });
});
