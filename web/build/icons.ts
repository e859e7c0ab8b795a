/** The app's icons, drawn here as PNG: the legend's ring with a pith, closing clockwise from north. */

import { deflateSync } from "node:zlib";

type Colour = readonly [red: number, green: number, blue: number];
export interface IconColours {
  paper: Colour;
  ink: Colour;
  pruned: Colour;
  toPrune: Colour;
}

/** Share of the ring that is closed, clockwise from north. */
const CLOSED = 0.7;
const TWIGS = 7;
/** Points on each side of a pixel that are looked at, for smooth edges. */
const FINE = 3;

/** Return which colour a point has, measured from the middle in halves of the picture's width. */
function colourAt(x: number, y: number, scale: number): keyof IconColours {
  const radius = Math.hypot(x, y) / scale;
  if (radius < 0.22) return "ink";
  if (radius < 0.55 || radius > 0.83) return "paper";
  const turn = (Math.atan2(x, -y) / (2 * Math.PI) + 1) % 1;
  if (turn < CLOSED) return "pruned";
  const along = ((turn - CLOSED) / (1 - CLOSED)) * TWIGS;
  const isTwig = along % 1 > 0.3 && along < TWIGS - 0.2;
  return isTwig && radius > 0.63 && radius < 0.75 ? "toPrune" : "paper";
}

/** Return a square PNG. `scale` is the share of the width that the ring takes: less leaves room for a round mask. */
export function iconPng(size: number, scale: number, colours: IconColours): Buffer {
  const rows = Buffer.alloc(size * (1 + size * 3));
  const middle = (pixel: number, sub: number): number => ((pixel + (sub + 0.5) / FINE) / size) * 2 - 1;
  for (let py = 0; py < size; py += 1) {
    for (let px = 0; px < size; px += 1) {
      const sum: [number, number, number] = [0, 0, 0];
      for (let sub = 0; sub < FINE * FINE; sub += 1) {
        const colour = colours[colourAt(middle(px, sub % FINE), middle(py, Math.floor(sub / FINE)), scale)];
        sum[0] += colour[0];
        sum[1] += colour[1];
        sum[2] += colour[2];
      }
      const at = py * (1 + size * 3) + 1 + px * 3;
      for (let part = 0; part < 3; part += 1) rows[at + part] = Math.round((sum[part] ?? 0) / (FINE * FINE));
    }
  }
  const header = Buffer.alloc(13);
  header.writeUInt32BE(size, 0);
  header.writeUInt32BE(size, 4);
  header.set([8, 2, 0, 0, 0], 8); // 8 bits a channel, red green blue
  const start = Buffer.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]);
  return Buffer.concat([start, chunk("IHDR", header), chunk("IDAT", deflateSync(rows, { level: 9 })), chunk("IEND", Buffer.alloc(0))]);
}

function chunk(type: string, data: Buffer): Buffer {
  const body = Buffer.concat([Buffer.from(type, "latin1"), data]);
  const ends = Buffer.alloc(8);
  ends.writeUInt32BE(data.length, 0);
  ends.writeUInt32BE(crc32(body), 4);
  return Buffer.concat([ends.subarray(0, 4), body, ends.subarray(4)]);
}

/** The check sum of PNG (ISO 3309), bit by bit. */
function crc32(bytes: Buffer): number {
  let sum = 0xffffffff;
  for (const byte of bytes) {
    sum ^= byte;
    for (let bit = 0; bit < 8; bit += 1) sum = (sum >>> 1) ^ (sum & 1 ? 0xedb88320 : 0);
  }
  return (sum ^ 0xffffffff) >>> 0;
}
