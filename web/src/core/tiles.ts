/** Which map tiles lie under a plan: numbered as slippy maps are (Web Mercator, 2^z by 2^z, from the north-west). */

import type { Lonlat } from "./contracts";

/** Where tiles come from, as the service is set: `{z}`, `{x}`, `{y}`, perhaps `{s}`. */
export interface TileSource {
  address: string;
  credit: string;
}
export interface Tile {
  href: string;
  northWest: Lonlat;
  southEast: Lonlat;
}

const TILE_PX = 256;
const NEAREST = 20;
const MOST = 40;

function tileX(lon: number, z: number): number {
  return Math.floor(((lon + 180) / 360) * 2 ** z);
}
function tileY(lat: number, z: number): number {
  return Math.floor(((1 - Math.asinh(Math.tan((lat * Math.PI) / 180)) / Math.PI) / 2) * 2 ** z);
}
function corner(x: number, y: number, z: number): Lonlat {
  const lat = (Math.atan(Math.sinh(Math.PI * (1 - (2 * y) / 2 ** z))) * 180) / Math.PI;
  return [(x / 2 ** z) * 360 - 180, lat];
}

/** Return the tiles of a picture that shows `northWest` to `southEast` over so many pixels, about one pixel of the tile to one of the picture. */
export function tilesUnder({ address }: TileSource, northWest: Lonlat, southEast: Lonlat, width_px: number): Tile[] {
  const wide_deg = southEast[0] - northWest[0];
  if (!(wide_deg > 0)) return [];
  let z = Math.min(NEAREST, Math.max(0, Math.round(Math.log2((360 / wide_deg) * (width_px / TILE_PX)))));
  const span = (): [number, number, number, number] => [tileX(northWest[0], z), tileX(southEast[0], z), tileY(northWest[1], z), tileY(southEast[1], z)];
  let [west, east, north, south] = span();
  while (z > 0 && (east - west + 1) * (south - north + 1) > MOST) {
    z -= 1;
    [west, east, north, south] = span();
  }
  const found: Tile[] = [];
  for (let y = north; y <= south; y += 1) {
    for (let x = west; x <= east; x += 1) {
      const href = Object.entries({ z, x, y, s: "abc"[(x + y) % 3] ?? "a" }).reduce((text, [name, value]) => text.replaceAll(`{${name}}`, String(value)), address);
      found.push({ href, northWest: corner(x, y, z), southEast: corner(x + 1, y + 1, z) });
    }
  }
  return found;
}
