import { describe, expect, it } from "vitest";
import { isHereOnly, LABELS } from "../../src/core/labels-wording";

describe("row-end labels", () => {
  it("tells an address that leads nowhere on a tablet", () => {
    const here = ["http://127.0.0.1:8420", "http://localhost/", " HTTPS://LOCALHOST:1 ", "http://[::1]:8420", "http://127.1.2.3"];
    const far = ["https://orchard.lan:8420", "http://localhost.lan", "http://192.168.1.20:8420", "http://127.0.0.1.lan", ""];
    expect([...here, ...far].filter(isHereOnly)).toEqual(here);
  });

  it("names the file so that every system takes the name", () => {
    expect(["H6", "Top field/2", "../a:b", "Großes Feld"].map(LABELS.fileName)).toEqual([
      "labels-H6.pdf",
      "labels-Top-field-2.pdf",
      "labels-..-a-b.pdf",
      "labels-Großes-Feld.pdf",
    ]);
  });
});
