/**
 * A flat frame for drawing a few blocks on the screen, and the bearing between two points picked on it.
 *
 * It is for looking only: rows, lengths and areas are worked out by the service in its own frame.
 */

import type { Lonlat } from "./contracts";
import type { Geometry } from "./import-contracts";

export interface PlanFrame {
  /** Metres east and south of the north-west corner. */
  toXy_m(lonlat: readonly number[]): [number, number];
  toLonlat(xy_m: readonly [number, number]): Lonlat;
  width_m: number;
  height_m: number;
}

const METRES_PER_DEGREE = 111_320;

/** Return every vertex of a geometry, or none. */
export function vertices(geometry: Geometry | null): number[][] {
  if (geometry === null) return [];
  switch (geometry.type) {
    case "Point":
      return [geometry.coordinates];
    case "MultiPoint":
    case "LineString":
      return geometry.coordinates;
    case "MultiLineString":
    case "Polygon":
      return geometry.coordinates.flat(1);
    case "MultiPolygon":
      return geometry.coordinates.flat(2);
    default:
      return geometry satisfies never;
  }
}

/** Return the frame that holds all vertices; a degree east is shortened by the cosine of the middle latitude. */
export function planFrame(lonlats: readonly (readonly number[])[]): PlanFrame {
  let [west, south, east, north] = [Infinity, Infinity, -Infinity, -Infinity];
  for (const [lon = 0, lat = 0] of lonlats) {
    west = Math.min(west, lon);
    east = Math.max(east, lon);
    south = Math.min(south, lat);
    north = Math.max(north, lat);
  }
  if (west > east) [west, south, east, north] = [0, 0, 0, 0];
  const perLat = METRES_PER_DEGREE;
  const perLon = METRES_PER_DEGREE * Math.cos((((south + north) / 2) * Math.PI) / 180);
  return {
    toXy_m: ([lon = 0, lat = 0]) => [(lon - west) * perLon, (north - lat) * perLat],
    toLonlat: ([x, y]) => [west + x / perLon, north - y / perLat],
    width_m: (east - west) * perLon,
    height_m: (north - south) * perLat,
  };
}

/** Return the bearing from one point to another, degrees clockwise from true north, 0 <= b < 360. */
export function bearingBetween_deg(from: Lonlat, to: Lonlat): number {
  const middle = (((from[1] + to[1]) / 2) * Math.PI) / 180;
  const east = (to[0] - from[0]) * Math.cos(middle);
  const north = to[1] - from[1];
  return ((Math.atan2(east, north) * 180) / Math.PI + 360) % 360;
}
