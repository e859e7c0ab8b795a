// Where the words of a block stand whose rows are drawn: on its own ground, at places that are fixed to the ground. No canvas: numbers in, numbers out.
(() => {
  "use strict";
  const OM = (window.orchardMap = window.orchardMap || {});
  const DOWN_PX = 12;
  const ACROSS_PX = 20;
  const EDGE_PX = 3;
  // Coarse steps first: while the map is dragged words then seldom have to go elsewhere.
  const COARSE = [16, 8, 4, 2, 1];

  // Whole numbers in a range, each once: 0, then multiples of the coarsest step, those near 0 first.
  function inTurn(from, to) {
    const all = [];
    for (let i = Math.ceil(from); i <= to; i++) all.push([i, i ? COARSE.findIndex((step) => i % step === 0) : -1]);
    return all.sort(([a, levelA], [b, levelB]) => levelA - levelB || Math.abs(a) - Math.abs(b) || a - b).map(([i]) => i);
  }

  // From west to east at a height of an outline, the widest stretch within it, in pixels of the world; null where there is none.
  function spanAt(shape, scale, y) {
    const [west, east] = OM.widestAt(shape.rings, y / scale);
    return east > west ? [west * scale, east * scale] : null;
  }

  /**
   * Boxes of a size within an outline, from above and from its middle, those only that lie within `seen`.
   * All in pixels of the whole world at a zoom and in steps of the ground: a place stays where it is while the map is dragged, until the edge comes over it.
   */
  OM.nearSeats = function* (shape, [wide, high], scale, [west, north, east, south]) {
    const box = shape.box.map((at) => at * scale);
    const first = box[1] + EDGE_PX;
    const last = Math.min(box[3], south) - high;
    for (const k of inTurn(Math.max(0, (north - first) / DOWN_PX), (last - first) / DOWN_PX)) {
      const top = first + k * DOWN_PX;
      const spans = [top, top + high / 2, top + high].map((y) => spanAt(shape, scale, y));
      if (!spans.every(Boolean)) continue;
      const [low, most] = [Math.max(...spans.map(([from]) => from)) + EDGE_PX, Math.min(...spans.map(([, to]) => to)) - EDGE_PX - wide];
      if (most < low) continue;
      const middle = (low + most) / 2;
      const [from, to] = [Math.max(low, west), Math.min(most, east - wide)];
      for (const i of inTurn((from - middle) / ACROSS_PX, (to - middle) / ACROSS_PX)) yield [middle + i * ACROSS_PX, top, middle + i * ACROSS_PX + wide, top + high];
    }
  };

  /** Those pieces of a line, [x, y, x, y] each, that may come into a box of the same measure. */
  OM.piecesIn = (xy, [west, north, east, south]) => {
    const found = [];
    for (let i = 0; i + 3 < xy.length; i += 2) {
      const [ax, ay, bx, by] = [xy[i], xy[i + 1], xy[i + 2], xy[i + 3]];
      if (Math.min(ax, bx) < east && Math.max(ax, bx) > west && Math.min(ay, by) < south && Math.max(ay, by) > north) found.push([ax, ay, bx, by]);
    }
    return found;
  };

  OM.widened = ([west, north, east, south], by) => [west - by, north - by, east + by, south + by];

  const meet = (a, b) => a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3];

  /** How many of some boxes another one meets. */
  OM.metBy = (box, others) => others.reduce((sum, other) => sum + (meet(box, other) ? 1 : 0), 0);
})();
