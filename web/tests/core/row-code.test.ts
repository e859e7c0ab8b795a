import { describe, expect, it } from "vitest";
import { blockOfCode, rowCodeOf } from "../../src/core/row-code";

describe("row-end codes", () => {
  it.each([
    ["https://orchard.lan:8443/R/H6/14", "H6", 14],
    ["HTTPS://ORCHARD.LAN/R/H6/14", "H6", 14],
    ["/R/K%20PIECE%2F2/7", "K PIECE/2", 7],
    ["/r/h6/007/", "h6", 7],
    ["http://127.0.0.1:8420/rows?block=019c-1&row=3", "019c-1", 3],
    ["HTTP://X/ROWS?BLOCK=019C-1&ROW=3", "019C-1", 3],
  ])("%s", (text, block, row) => expect(rowCodeOf(text)).toEqual({ block, row }));

  it.each(["", "H6/14", "https://x/R/H6", "https://x/R//4", "https://x/R/H6/0x4", "https://x/R/%E0%A4%A/4", "https://x/rows?row=3", "tel:R/1/2?x"])(
    "%s is none",
    (text) => expect(rowCodeOf(text)).toBeNull(),
  );

  it("names a block by id or by its code in any case, and none where two would do", () => {
    const blocks = [
      { id: "019c-a", code: "H6" },
      { id: "019c-b", code: "h6" },
      { id: "019c-c", code: "Kiln" },
    ];
    expect(blockOfCode("KILN", blocks)?.id).toBe("019c-c");
    expect(blockOfCode("019C-B", blocks)?.id).toBe("019c-b");
    expect(blockOfCode("h6", blocks)?.id).toBe("019c-b");
    expect(blockOfCode("H6", blocks)?.id).toBe("019c-a");
    expect(blockOfCode("H6", [{ id: "1", code: "h6" }])?.id).toBe("1");
    const twins = [
      { id: "1", code: "aB" },
      { id: "2", code: "Ab" },
    ];
    expect(blockOfCode("AB", twins)).toBeNull();
    expect(blockOfCode("Z", blocks)).toBeNull();
  });
});
