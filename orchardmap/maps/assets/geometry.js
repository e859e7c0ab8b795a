// Where rows, trees and stretches of row stand. No drawing, no page: numbers in, numbers out.
// World units: Web Mercator with the whole world 256 wide, so that pixel = world * 2^zoom.
(() => {
  "use strict";
  const OM = (window.orchardMap = window.orchardMap || {});
  const WORLD = 256;
  const EQUATOR_M = 40075016.68557849;

  OM.worldX = (lon) => ((lon + 180) / 360) * WORLD;
  OM.worldY = (lat) => {
    const sine = Math.sin((lat * Math.PI) / 180);
    return WORLD * (0.5 - Math.log((1 + sine) / (1 - sine)) / (4 * Math.PI));
  };
  OM.lonOf = (x) => (x / WORLD) * 360 - 180;
  OM.latOf = (y) => (Math.atan(Math.sinh(Math.PI * (1 - (2 * y) / WORLD))) * 180) / Math.PI;
  const metresPerWorld = (lat) => (EQUATOR_M * Math.cos((lat * Math.PI) / 180)) / WORLD;

  function lineOf(numbers, origin, unit) {
    const xy = new Float64Array(numbers.length);
    for (let i = 0; i < numbers.length; i += 2) {
      xy[i] = OM.worldX(origin[0] + numbers[i] * unit);
      xy[i + 1] = OM.worldY(origin[1] + numbers[i + 1] * unit);
    }
    return xy;
  }

  function reaches(xy) {
    const along = new Float64Array(xy.length / 2);
    for (let i = 1; i < along.length; i++) {
      along[i] = along[i - 1] + Math.hypot(xy[2 * i] - xy[2 * i - 2], xy[2 * i + 1] - xy[2 * i - 1]);
    }
    return along;
  }

  // A counted number of positions overrides the rule; it is shared out over the parts as the rule had it.
  function sharedOut(positions, byRule) {
    const sum = byRule.reduce((a, b) => a + b, 0);
    if (sum === positions || sum === 0) return byRule;
    let upTo = 0;
    let given = 0;
    return byRule.map((count) => {
      upTo += count;
      const now = Math.round((positions * upTo) / sum) - given;
      given += now;
      return now;
    });
  }

  function rowOf(doc, origin, unit) {
    const counts = sharedOut(doc.p, doc.parts.map((part) => part[0]));
    const endOffset = (doc.e || 0) / metresPerWorld(origin[1]);
    let before = 0;
    const parts = doc.parts.map(([, numbers], i) => {
      const xy = lineOf(numbers, origin, unit);
      const along = reaches(xy);
      const part = { xy, along, count: counts[i], before, length: along[along.length - 1] };
      part.margin = part.length > 2 * endOffset ? endOffset : part.length / 2;
      part.step = part.count > 1 ? (part.length - 2 * part.margin) / (part.count - 1) : 0;
      before += part.count;
      return part;
    });
    return {
      number: doc.n, positions: doc.p, parts, counted: Boolean(doc.counted),
      blanks: doc.blanks || [], pollinizers: doc.pollinizers || [], box: OM.boxOf(parts.map((p) => p.xy)),
    };
  }

  /** West, north, east and south of some lines. */
  OM.boxOf = (lines) => {
    const box = [Infinity, Infinity, -Infinity, -Infinity];
    for (const xy of lines) {
      for (let i = 0; i < xy.length; i += 2) {
        if (xy[i] < box[0]) box[0] = xy[i];
        if (xy[i] > box[2]) box[2] = xy[i];
        if (xy[i + 1] < box[1]) box[1] = xy[i + 1];
        if (xy[i + 1] > box[3]) box[3] = xy[i + 1];
      }
    }
    return box;
  };

  /** The rings of a GeoJSON polygon or multipolygon, one after the other. */
  OM.ringsOf = (outline) => {
    if (!outline) return [];
    const polygons = outline.type === "Polygon" ? [outline.coordinates] : outline.coordinates;
    return polygons.flat().map((ring) => {
      const xy = new Float64Array(ring.length * 2);
      ring.forEach(([lon, lat], i) => { xy[2 * i] = OM.worldX(lon); xy[2 * i + 1] = OM.worldY(lat); });
      return xy;
    });
  };

  /** Turn a block's shape document into rows in world units. */
  OM.shapeOf = (doc) => {
    const rows = doc.rows.map((row) => rowOf(row, doc.origin, doc.unit_deg));
    const rings = OM.ringsOf(doc.outline);
    const byNumber = new Map(rows.map((row) => [row.number, row]));
    const box = OM.boxOf([...rings, ...rows.flatMap((row) => row.parts.map((part) => part.xy))]);
    return { id: doc.id, version: doc.version, rows, rings, byNumber, box, pitch: pitchOf(rows) };
  };

  // Distance from row to row: the middle one of the distances between neighbours.
  function pitchOf(rows) {
    const found = [];
    for (let i = 1; i < rows.length; i++) {
      const here = rows[i].parts[0];
      const there = rows[i - 1].parts[0];
      if (!here || !there || rows[i].number !== rows[i - 1].number + 1) continue;
      const middle = OM.pointAt(here, here.length / 2);
      const a = OM.pointAt(there, 0);
      const b = OM.pointAt(there, there.length);
      const run = Math.hypot(b.x - a.x, b.y - a.y);
      if (run > 0) found.push(Math.abs((b.x - a.x) * (middle.y - a.y) - (b.y - a.y) * (middle.x - a.x)) / run);
    }
    found.sort((a, b) => a - b);
    return found.length ? found[found.length >> 1] : 4 / (EQUATOR_M / WORLD);
  }

  /** The point at a distance along a part, with the direction of the row there. */
  OM.pointAt = (part, distance) => {
    const { xy, along } = part;
    let i = 1;
    while (i < along.length - 1 && along[i] < distance) i++;
    const run = along[i] - along[i - 1];
    const t = run > 0 ? (distance - along[i - 1]) / run : 0;
    const dx = xy[2 * i] - xy[2 * i - 2];
    const dy = xy[2 * i + 1] - xy[2 * i - 1];
    return { x: xy[2 * i - 2] + t * dx, y: xy[2 * i - 1] + t * dy, angle: Math.atan2(dy, dx) };
  };

  /** Where the tree of a position stands; null beyond the row's end. */
  OM.placeOf = (row, position) => {
    for (const part of row.parts) {
      const i = position - part.before - 1;
      if (i < 0 || i >= part.count) continue;
      return OM.pointAt(part, part.count === 1 ? part.length / 2 : part.margin + i * part.step);
    }
    return null;
  };

  // The edge before tree i of a part (0 = first): midway to its neighbour, or the part's own end.
  function edgeBefore(part, i) {
    if (i <= 0) return 0;
    if (i >= part.count) return part.length;
    return part.margin + (i - 0.5) * part.step;
  }

  function stretchOf(part, from, to) {
    const { xy, along } = part;
    const a = OM.pointAt(part, from);
    const b = OM.pointAt(part, to);
    const points = [a.x, a.y];
    for (let i = 1; i < along.length - 1; i++) {
      if (along[i] > from && along[i] < to) points.push(xy[2 * i], xy[2 * i + 1]);
    }
    points.push(b.x, b.y);
    return Float64Array.from(points);
  }

  /** The kind of every position of a row: 0 still to prune, 1 pruned, 2 overlap, 3 again. */
  OM.kindsOf = (row, runs) => {
    const kinds = new Uint8Array(row.positions + 1);
    for (const [, first, last, kind] of runs) {
      for (let p = Math.max(1, first); p <= Math.min(last, row.positions); p++) {
        if (kind > kinds[p]) kinds[p] = kind;
      }
    }
    return kinds;
  };

  /** How many trees a row has, and how many of them are pruned. */
  OM.rowFigures = (block, row) => {
    const kinds = OM.kindsOf(row, OM.runsOf(block, row.number));
    const apart = new Set([...row.blanks, ...row.pollinizers]);
    let [trees, pruned] = [0, 0];
    for (let p = 1; p <= row.positions; p++) {
      if (apart.has(p)) continue;
      trees++;
      if (kinds[p]) pruned++;
    }
    return { trees, pruned };
  };

  /** Cut a row where its kind changes: [{kind, first, last, xy}], split midway between two trees. */
  OM.stretches = (row, runs) => {
    const kinds = OM.kindsOf(row, runs);
    const made = [];
    for (const part of row.parts) {
      let i = 0;
      while (i < part.count) {
        const kind = kinds[part.before + i + 1];
        let j = i + 1;
        while (j < part.count && kinds[part.before + j + 1] === kind) j++;
        const xy = stretchOf(part, edgeBefore(part, i), edgeBefore(part, j));
        made.push({ kind, first: part.before + i + 1, last: part.before + j, xy });
        i = j;
      }
      if (part.count === 0) made.push({ kind: 0, first: 0, last: 0, xy: part.xy });
    }
    return made;
  };

  function distanceToLine(xy, x, y) {
    let best = Infinity;
    for (let i = 2; i < xy.length; i += 2) {
      const dx = xy[i] - xy[i - 2];
      const dy = xy[i + 1] - xy[i - 1];
      const square = dx * dx + dy * dy;
      const t = square > 0 ? ((x - xy[i - 2]) * dx + (y - xy[i - 1]) * dy) / square : 0;
      const held = Math.max(0, Math.min(1, t));
      best = Math.min(best, Math.hypot(x - xy[i - 2] - held * dx, y - xy[i - 1] - held * dy));
    }
    return best;
  }

  /** The row of a shape that lies nearest a world point, and how far off it is. */
  OM.nearestRow = (shape, x, y) => {
    let found = null;
    let best = Infinity;
    for (const row of shape.rows) {
      for (const part of row.parts) {
        const distance = distanceToLine(part.xy, x, y);
        if (distance < best) { best = distance; found = row; }
      }
    }
    return found && { row: found, distance: best };
  };

  /** Whether a world point lies inside the rings of a block or a patch (even-odd, so holes are outside). */
  OM.isInside = ({ rings }, x, y) => {
    let inside = false;
    for (const xy of rings) {
      for (let i = 0, j = xy.length - 2; i < xy.length; j = i, i += 2) {
        const crosses = xy[i + 1] > y !== xy[j + 1] > y;
        if (crosses && x < ((xy[j] - xy[i]) * (y - xy[i + 1])) / (xy[j + 1] - xy[i + 1]) + xy[i]) inside = !inside;
      }
    }
    return inside;
  };
})();
