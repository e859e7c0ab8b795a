/** Ids of records, made on this device: UUID version 7 (RFC 9562), so that they sort by time. */

/** Fills the array with random bytes; in a browser `crypto.getRandomValues`, which plain http has too. */
export type FillRandom = (bytes: Uint8Array) => void;

/** Return a UUIDv7 for the moment `nowMs` (milliseconds since 1970), its other 74 bits from `fill`. */
export function uuid7(nowMs: number, fill: FillRandom): string {
  const bytes = new Uint8Array(16);
  fill(bytes);
  for (let place = 5, rest = nowMs; place >= 0; place -= 1) {
    bytes[place] = rest % 256;
    rest = Math.floor(rest / 256);
  }
  bytes[6] = 0x70 | ((bytes[6] ?? 0) & 0x0f);
  bytes[8] = 0x80 | ((bytes[8] ?? 0) & 0x3f);
  const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
}
