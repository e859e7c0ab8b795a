/** Corners of an outline as they are typed: a line each, latitude first, as satellite receivers show them. */

import type { Lonlat } from "./contracts";
import type { Geometry } from "./import-contracts";

/** Return the corners, or the number of the first line that is none. */
export function cornersOf(text: string): { corners: Lonlat[]; wrongLine: number | null } {
  const corners: Lonlat[] = [];
  for (const [index, line] of text.split("\n").entries()) {
    if (line.trim() === "") continue;
    const found = latLon(line);
    if (found === null) return { corners: [], wrongLine: index + 1 };
    corners.push(found);
  }
  return { corners, wrongLine: null };
}

/** Return a typed latitude and longitude, or null: set apart by a comma, a semicolon or blanks. */
export function latLon(text: string): Lonlat | null {
  const found = /^\s*([+-]?\d{1,2}(?:\.\d+)?)\s*[,;\s]\s*([+-]?\d{1,3}(?:\.\d+)?)\s*$/.exec(text);
  const [lat, lon] = [Number(found?.[1] ?? Number.NaN), Number(found?.[2] ?? Number.NaN)];
  return Math.abs(lat) <= 90 && Math.abs(lon) <= 180 ? [lon, lat] : null;
}

/** Return corners as they would be typed, to a centimetre. */
export function cornerText(corners: readonly (readonly number[])[]): string {
  return corners.map(([lon = 0, lat = 0]) => `${lat.toFixed(7)}, ${lon.toFixed(7)}`).join("\n");
}

/** Return the outer ring of an outline of one part, not closed; none where it has more parts or holes. */
export function onlyRing(outline: Geometry | null): Lonlat[] {
  if (outline?.type !== "Polygon" || outline.coordinates.length !== 1) return [];
  return (outline.coordinates[0] ?? []).slice(0, -1) as unknown as Lonlat[];
}

/** Return of how many parts an outline is, and how many holes they have. */
export function ringsOf(outline: Geometry | null): { parts: number; holes: number } {
  const parts = outline?.type === "Polygon" ? [outline.coordinates] : outline?.type === "MultiPolygon" ? outline.coordinates : [];
  return { parts: parts.length, holes: parts.reduce((sum, rings) => sum + rings.length - 1, 0) };
}

/** Return the outline with these corners. */
export function outlineOf(corners: readonly Lonlat[]): Geometry {
  const [first] = corners;
  return { type: "Polygon", coordinates: [[...corners, ...(first === undefined ? [] : [first])].map((point) => [...point])] };
}
