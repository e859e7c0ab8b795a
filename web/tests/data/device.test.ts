import { expect, it } from "vitest";
import { deviceOf } from "../../src/data/device";

function shelf() {
  const kept = new Map<string, string>();
  return {
    kept,
    getItem: (key: string) => kept.get(key) ?? null,
    setItem: (key: string, value: string) => void kept.set(key, value),
    removeItem: (key: string) => void kept.delete(key),
  };
}

it("remembers ids between visits and forgets them when told", () => {
  const storage = shelf();
  deviceOf(storage).set("crew", "0198");
  expect(deviceOf(storage).get("crew")).toBe("0198");
  deviceOf(storage).set("crew", null);
  expect(deviceOf(storage).get("crew")).toBeNull();
  expect(storage.kept.size).toBe(0);
});

it("each window has a farm of its own, and a new one begins at the last that was chosen", () => {
  const [device, one, other, third] = [shelf(), shelf(), shelf(), shelf()];
  deviceOf(device, one).set("farm", "A");
  expect(deviceOf(device, other).get("farm")).toBe("A");
  deviceOf(device, other).set("farm", "B");
  expect(deviceOf(device, one).get("farm")).toBe("A");
  expect(deviceOf(device, other).get("farm")).toBe("B");
  expect(deviceOf(device, third).get("farm")).toBe("B");
  // nothing else is of a window
  deviceOf(device, one).set("crew", "C");
  expect(deviceOf(device, other).get("crew")).toBe("C");
});

it("cautions come once a day for each block, and again until they were read", () => {
  const device = deviceOf(shelf());
  expect(device.hasReadCautions("K1", "2026-11-25")).toBe(false);
  expect(device.hasReadCautions("K1", "2026-11-25")).toBe(false);
  device.readCautions("K1", "2026-11-25");
  expect(device.hasReadCautions("K1", "2026-11-25")).toBe(true);
  expect(device.hasReadCautions("K2", "2026-11-25")).toBe(false);
  expect(device.hasReadCautions("K1", "2026-11-26")).toBe(false);
});

it("works for the visit where storage is refused", () => {
  const refuse = (): never => {
    throw new DOMException("denied", "SecurityError");
  };
  const device = deviceOf({ getItem: refuse, setItem: refuse, removeItem: refuse });
  device.set("farm", "0198");
  expect(device.get("farm")).toBe("0198");
});
