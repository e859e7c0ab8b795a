// Blocks seen from far: how a ring is drawn, and where rings and words find room.
(() => {
  "use strict";
  const OM = (window.orchardMap = window.orchardMap || {});
  const TURN = 2 * Math.PI;
  const NORTH = -Math.PI / 2;
  const NOTCHES = [0.09, 0.19];
  const TICKS = [0.7, 0.78];

  /** How far a ring of some radius reaches, with its line and what may stand outside it. */
  OM.reachOf = (radius, ring) => radius + widthOf(radius) / 2 + (ring && ring.isClosed ? 7 : 2);

  const widthOf = (radius) => Math.max(2.6, radius * 0.32);

  function around(ctx, x, y, radius, from = 0, to = 1) {
    ctx.beginPath();
    ctx.arc(x, y, radius, NORTH + from * TURN, NORTH + to * TURN);
    ctx.stroke();
  }

  function brokenCircle(ctx, x, y, radius, spacing, fill) {
    const dashes = Math.max(6, Math.round((TURN * radius) / spacing));
    ctx.beginPath();
    for (let i = 0; i < dashes; i++) {
      const from = NORTH + (i * TURN) / dashes;
      ctx.moveTo(x + radius * Math.cos(from), y + radius * Math.sin(from));
      ctx.arc(x, y, radius, from, from + (fill * TURN) / dashes);
    }
    ctx.stroke();
  }

  // Short bars across the ring, each at a share of the turn; they may lean by pixels to each side.
  function bars(ctx, x, y, turns, inner, outer, lean = 0) {
    ctx.beginPath();
    for (const turn of turns) {
      const at = NORTH + turn * TURN;
      const [ux, uy] = [Math.cos(at), Math.sin(at)];
      ctx.moveTo(x + inner * ux + lean * uy, y + inner * uy - lean * ux);
      ctx.lineTo(x + outer * ux - lean * uy, y + outer * uy + lean * ux);
    }
    ctx.stroke();
  }

  function strokeRest(ctx, form, x, y, radius, share) {
    ctx.strokeStyle = form.colour;
    ctx.lineCap = "butt";
    if (form.form === "twig") {
      ctx.lineWidth = Math.max(1.3, radius * 0.1);
      if (share < 1) brokenCircle(ctx, x, y, radius, Math.max(5, radius * 0.42), 0.6);
    } else {
      ctx.lineWidth = Math.max(1, form.width * Math.min(7, radius * 0.34));
      around(ctx, x, y, radius);
    }
  }

  function strokeArc(ctx, form, x, y, radius, share, sheet) {
    const width = widthOf(radius);
    ctx.lineCap = "butt";
    ctx.strokeStyle = form.colour;
    if (form.form === "barred") {
      const count = Math.max(1, Math.round((share * TURN * radius) / form.period_px));
      ctx.lineWidth = 2.2;
      bars(ctx, x, y, Array.from({ length: count }, (_, i) => ((i + 0.5) / count) * share), radius - width * 0.85, radius + width * 0.85);
      return;
    }
    const to = Math.max(0.06 / TURN, Math.min(1, share));
    if (form.form === "twig") {
      ctx.strokeStyle = sheet;
      ctx.lineWidth = width;
      around(ctx, x, y, radius, 0, to);
      ctx.strokeStyle = form.colour;
      ctx.setLineDash([Math.max(3, radius * 0.3), 2]);
      ctx.lineWidth = width * 0.7;
    } else ctx.lineWidth = width;
    around(ctx, x, y, radius, 0, to);
    ctx.setLineDash([]);
  }

  /**
   * Draw a block seen from far: a ring round a pith.
   * ring: {share, arc: key of the closed part's line, rest: key of the open part's, pith: glyph, hasOverlap, hasAgain, isClosed}
   */
  OM.drawRing = (ctx, signs, x, y, radius, ring) => {
    const formOf = (key) => signs.lines[key] || signs.arcs[key];
    const { sheet, ink, again, closed } = signs.palette;
    const width = widthOf(radius);
    ctx.beginPath();
    ctx.arc(x, y, OM.reachOf(radius, ring) - 0.5, 0, TURN);
    ctx.fillStyle = sheet;
    ctx.fill();
    strokeRest(ctx, formOf(ring.rest), x, y, radius, ring.share);
    if (ring.share > 0) strokeArc(ctx, formOf(ring.arc), x, y, radius, ring.share, sheet);
    if (ring.hasOverlap) {
      for (const [colour, wide, more] of [[sheet, 5.4, 2.5], [ink, 2.2, 1.5]]) {
        ctx.strokeStyle = colour;
        ctx.lineWidth = wide;
        bars(ctx, x, y, NOTCHES, radius - width / 2 - more, radius + width / 2 + more + 2);
      }
    }
    if (ring.hasAgain) {
      for (const [colour, wide, more] of [[sheet, 5.4, 2.5], [again, 2.4, 1.5]]) {
        ctx.strokeStyle = colour;
        ctx.lineWidth = wide;
        bars(ctx, x, y, TICKS, radius - width / 2 - more, radius + width / 2 + more + 1, width * 0.35);
      }
    }
    if (ring.isClosed) {
      ctx.strokeStyle = closed;
      ctx.lineCap = "round";
      ctx.lineWidth = 2.6;
      brokenCircle(ctx, x, y, radius + width / 2 + 4, 5.5, 0.01);
    }
    if (ring.pith) OM.drawGlyph(ctx, ring.pith, x, y, Math.max(9, radius * 1.15), null);
  };

  /** Places already taken by rings and words, in cells, so that labels keep out of one another's way. */
  OM.Taken = class {
    constructor({ width, height, seen = [0, 0, width, height], covers = [] }) {
      this.width = width;
      this.height = height;
      this.seen = seen;
      this.boxes = new Map();
      this.rings = new Map();
      for (const box of covers) this.take(box);
    }

    static near(box) {
      const keys = [];
      for (let i = box[0] >> 6; i <= box[2] >> 6; i++) for (let j = box[1] >> 6; j <= box[3] >> 6; j++) keys.push(i * 100003 + j);
      return keys;
    }

    static keep(cells, box, what) {
      for (const key of OM.Taken.near(box)) {
        if (!cells.has(key)) cells.set(key, []);
        cells.get(key).push(what);
      }
    }

    // Words that the edge of the map would cut say nothing: neither that of the canvas nor that of the part of it that is seen.
    isFree(box) {
      if (box[0] < 0 || box[1] < 0 || box[2] > this.width || box[3] > this.height) return false;
      const [left, top, right, bottom] = this.seen;
      const isOut = box[2] <= left || box[0] >= right || box[3] <= top || box[1] >= bottom;
      if (!isOut && (box[0] < left || box[1] < top || box[2] > right || box[3] > bottom)) return false;
      return OM.Taken.near(box).every((key) => (this.boxes.get(key) || []).every(
        (other) => other[0] >= box[2] || other[2] <= box[0] || other[1] >= box[3] || other[3] <= box[1]));
    }

    /** Whether words of a block may stand there: on nothing else, and some pixels, at most 20, away from the rings of others. */
    isFreeFor(block, box, away) {
      const isClear = (ring) => awayFrom(ring, box) >= ring.reach + (ring.block === block ? 0 : away);
      return this.isFree(box) && OM.Taken.near(box).every((key) => (this.rings.get(key) || []).every(isClear));
    }

    take(box) { OM.Taken.keep(this.boxes, box, box); }

    takeRing(ring) {
      const { x, y, reach } = ring;
      const far = reach + FARTHEST_PX;
      OM.Taken.keep(this.rings, [x - far, y - far, x + far, y + far], ring);
    }
  };
  const FARTHEST_PX = 20;

  /** How far a box is from the middle of a ring. */
  const awayFrom = ({ x, y }, [left, top, right, bottom]) => Math.hypot(Math.max(left - x, 0, x - right), Math.max(top - y, 0, y - bottom));

  /**
   * Pixels of radius for the root of one tree, the same for every block at a zoom, so that a larger ring always
   * means more trees. As large as the blocks' outlines allow, or the gaps between blocks where outlines are specks.
   */
  OM.ringFactor = (list, scale, gap) => {
    const trees = list.map(({ facts }) => Math.max(1, facts.trees));
    const least = Math.sqrt(Math.min(...trees));
    const most = Math.sqrt(Math.max(...trees));
    const inside = Math.min(...list.map(({ box }, i) => (FITS * scale * Math.min(box[2] - box[0], box[3] - box[1])) / Math.sqrt(trees[i])));
    const wanted = Math.max(inside, gap * scale * GAP_SHARE);
    // where blocks are many, rings give way to one another sooner than they stay readable
    const [wide, high] = [0, 1].map((i) => Math.max(...list.map(({ box }) => box[i + 2])) - Math.min(...list.map(({ box }) => box[i])));
    const room = (ROOM_SHARE * scale * Math.sqrt((wide * high) / list.length)) / (trees.reduce((sum, n) => sum + Math.sqrt(n), 0) / list.length);
    return Math.max(Math.min(LEAST_PX / least, CROWDED_PX / most, room), Math.min(wanted, MOST_PX / most));
  };
  const FITS = 0.29;
  const GAP_SHARE = 0.5;
  const ROOM_SHARE = 0.34;
  const LEAST_PX = 12;
  const CROWDED_PX = 18;
  const MOST_PX = 32;

  /** The smallest gap between two blocks' middles, in world units for the roots of their trees together. */
  OM.narrowestGap = (list) => {
    const byX = list.map(({ at, facts }) => ({ ...at, root: Math.sqrt(Math.max(1, facts.trees)) })).sort((a, b) => a.x - b.x);
    const root = Math.max(0, ...byX.map((it) => it.root));
    let gap = Infinity;
    for (let i = 0; i < byX.length; i++) {
      for (let j = i + 1; j < byX.length && byX[j].x - byX[i].x < gap * (byX[i].root + root); j++) {
        gap = Math.min(gap, Math.hypot(byX[j].x - byX[i].x, byX[j].y - byX[i].y) / (byX[i].root + byX[j].root));
      }
    }
    return gap;
  };
})();
