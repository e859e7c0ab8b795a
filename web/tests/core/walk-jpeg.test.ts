import { describe, expect, it } from "vitest";
import photo from "../../../tests/vectors/photos/camera.json";
import { bareJpeg, shrunk } from "../../src/core/walk-jpeg";

const bytes = (text: string): number[] => [...text].map((sign) => sign.charCodeAt(0));
const text = (of: Uint8Array): string => String.fromCharCode(...of);
const joined = (...parts: Iterable<number>[]): Uint8Array => new Uint8Array(parts.flatMap((part) => [...part]));
/** A photo with EXIF that tells its place: `tests/unit/test_bare_jpeg.py` reads it too. */
const camera = new Uint8Array(bytes(atob(photo.jpeg)));
const bare = bareJpeg(camera) ?? new Uint8Array();
const withSegment = (marker: number, body: string): Uint8Array =>
  joined(camera.subarray(0, 2), [0xff, marker, (body.length + 2) >> 8, (body.length + 2) & 255], bytes(body), camera.subarray(2));

describe("a JPEG of a camera", () => {
  it("loses what tells where it was taken, and nothing of the picture", () => {
    expect(text(camera)).toContain("Exif");
    expect(text(bare)).not.toContain("Exif");
    expect(text(bare)).not.toContain("Pocket camera");
    const fromTables = (of: Uint8Array): string => text(of).slice(text(of).indexOf("\xff\xdb"));
    expect(fromTables(bare)).toBe(fromTables(camera));
    expect(bare.length).toBeGreaterThan(300);
  });

  it("loses every segment that no decoder needs, wherever it stands, and what follows its end", () => {
    for (const marker of [0xe1, 0xe2, 0xed, 0xee, 0xfe]) expect(bareJpeg(withSegment(marker, "where and when"))).toEqual(bare);
    const thumbnail = "JFIF\0\x01\x01\0\0\x01\0\x01\x01\x01abc";
    expect(bareJpeg(withSegment(0xe0, thumbnail))).toEqual(bare);
    expect(bareJpeg(joined(camera, camera))).toEqual(bare);
  });

  it("that is bare already stays as it is", () => {
    expect(bareJpeg(bare)).toEqual(bare);
  });

  it("that is cut off anywhere is none, and so is anything else", () => {
    for (let length = 0; length < camera.length; length += 1) expect(bareJpeg(camera.subarray(0, length))).toBeNull();
    expect(bareJpeg(joined(bytes("\x89PNG\r\n\x1a\n")))).toBeNull();
  });
});

it("a picture is shrunk to its longer side, and never made larger", () => {
  expect(shrunk(4000, 3000, 1280)).toEqual({ width: 1280, height: 960 });
  expect(shrunk(3000, 4000, 1280)).toEqual({ width: 960, height: 1280 });
  expect(shrunk(640, 480, 1280)).toEqual({ width: 640, height: 480 });
  expect(shrunk(9000, 3, 1280)).toEqual({ width: 1280, height: 1 });
});
