/** A JPEG with nothing beside its picture: what tells where, when and by what it was taken never leaves the device. */

/** Header, Huffman and quantization tables, restart interval, frames: what a decoder needs (ITU-T T.81, Annex B). */
const NEEDED: ReadonlySet<number> = new Set([0xe0, 0xc0, 0xc1, 0xc2, 0xc4, 0xdb, 0xdd]);
const [START, END, SCAN, JFIF] = [0xd8, 0xd9, 0xda, 0xe0];
/** A JFIF header without a thumbnail. */
const JFIF_BYTES = 16;

/** Return the picture alone, or null when these bytes are no whole JPEG. Whatever stands behind its end goes too. */
export function bareJpeg(bytes: Uint8Array): Uint8Array<ArrayBuffer> | null {
  if (bytes[0] !== 0xff || bytes[1] !== START) return null;
  const kept: Uint8Array[] = [bytes.subarray(0, 2)];
  let at = 2;
  for (;;) {
    const marker = bytes[at + 1];
    if (bytes[at] !== 0xff || marker === undefined) return null;
    if (marker === 0xff) {
      at += 1; // a fill byte
      continue;
    }
    if (marker === END) return joined([...kept, bytes.subarray(at, at + 2)]);
    const length = 2 + ((bytes[at + 2] ?? 0) << 8) + (bytes[at + 3] ?? 0);
    if (length < 4 || at + length > bytes.length) return null;
    const stop = marker === SCAN ? scanEnd(bytes, at + length) : at + length;
    const isNeeded = marker === SCAN || (NEEDED.has(marker) && (marker !== JFIF || length === JFIF_BYTES + 2));
    if (isNeeded) kept.push(bytes.subarray(at, stop));
    at = stop;
  }
}

/** Return the place of the first marker after entropy-coded data: neither a stuffed byte nor a restart. */
function scanEnd(bytes: Uint8Array, from: number): number {
  let at = from;
  for (; at < bytes.length; at += 1) {
    if (bytes[at] !== 0xff) continue;
    const next = bytes[at + 1] ?? 0;
    if (next !== 0 && !(next >= 0xd0 && next <= 0xd7)) return at;
    at += 1;
  }
  return at;
}

function joined(parts: readonly Uint8Array[]): Uint8Array<ArrayBuffer> {
  const whole = new Uint8Array(parts.reduce((sum, { length }) => sum + length, 0));
  let at = 0;
  for (const part of parts) {
    whole.set(part, at);
    at += part.length;
  }
  return whole;
}

/** Return the size to shrink a picture to: `most` pixels on its longer side, never larger than it is. */
export function shrunk(width: number, height: number, most: number): { width: number; height: number } {
  const by = Math.min(1, most / Math.max(width, height, 1));
  return { width: Math.max(1, Math.round(width * by)), height: Math.max(1, Math.round(height * by)) };
}
