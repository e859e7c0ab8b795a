// Seats of a block seen from far: the ways to put its ring and its words so that it is plain whose they are. No canvas: numbers in, numbers out.
// Pixels here are of the whole world at a zoom, not of the screen, so that a seat is the same however the map is dragged.
(() => {
  "use strict";
  const OM = (window.orchardMap = window.orchardMap || {});
  const LEVELS = 24;
  const SLICES = 4;
  // Words on their own ground are plainly their own; elsewhere they stand at their own ring and farther from others', at a corner of it farther still.
  const OWN_SHARE = 0.6;
  const FOREIGN_SHARE = (OM.FOREIGN_SHARE = 0.25);
  const WORST_SHARE = 0.4;
  const INSIDE_PX = 2;
  const BESIDE_PX = 8;
  const CORNER_PX = 18;
  const FARTHEST_PX = 5;
  const NEARER_PX = 2;
  const LINE_PX = 2;
  // how far words may slide along their ring, in shares of their size
  const SLIDES = [0, 0.2, -0.2, 0.4, -0.4];
  // where in a block, in shares of its height or width off the middle, ring and words stand together
  const SHIFTS = [0, 0.12, -0.12, 0.24, -0.24];
  const RING_SHARE = 0.8;

  /** What words of a block look like: heights, sizes, and where each line is written. */
  OM.FAR_SIZES = {
    large: { code: 15, figure: 13, two: 31, one: 16, codeAt: 8, figureAt: 24 },
    small: { code: 13, figure: 12, two: 26, one: 14, codeAt: 7, figureAt: 20 },
  };
  OM.BETWEEN_PX = 5;

  /** From west to east at so many heights of an outline, the widest stretch within it; in world units, made once. */
  function spansOf(shape) {
    if (shape.spans) return shape.spans;
    const box = OM.boxOf(shape.rings);
    const step = (box[3] - box[1]) / LEVELS;
    const at = Array.from({ length: LEVELS }, (_, k) => widestAt(shape.rings, box[1] + (k + 0.5) * step));
    shape.spans = { top: box[1], step, west: Float64Array.from(at, ([west]) => west), east: Float64Array.from(at, ([, east]) => east) };
    return shape.spans;
  }

  OM.widestAt = widestAt;
  function widestAt(rings, y) {
    const met = [];
    for (const xy of rings) {
      for (let i = 0, j = xy.length - 2; i < xy.length; j = i, i += 2) {
        if (xy[i + 1] > y !== xy[j + 1] > y) met.push(((xy[j] - xy[i]) * (y - xy[i + 1])) / (xy[j + 1] - xy[i + 1]) + xy[i]);
      }
    }
    met.sort((a, b) => a - b);
    let best = [0, 0];
    for (let i = 0; i + 1 < met.length; i += 2) if (met[i + 1] - met[i] > best[1] - best[0]) best = [met[i], met[i + 1]];
    return best;
  }

  const levelAt = ({ spans, scale }, y) => {
    const k = spans && spans.step ? Math.floor((y / scale - spans.top) / spans.step) : -1;
    return k < LEVELS ? k : -1;
  };

  function spanAt(it, y) {
    const k = levelAt(it, y);
    return k < 0 ? null : [it.spans.west[k] * it.scale, it.spans.east[k] * it.scale];
  }

  /** The share of a box that stands on the ground of a block. */
  function shareOn(it, left, top, right, bottom) {
    const { bounds, scale, spans } = it;
    if (!spans || left >= bounds[2] || right <= bounds[0] || top >= bounds[3] || bottom <= bounds[1]) return 0;
    const levels = spans.step ? 1 / (scale * spans.step) : 0;
    let sum = 0;
    for (let i = 0; i < SLICES; i++) {
      const k = Math.floor((top + ((i + 0.5) * (bottom - top)) / SLICES - spans.top * scale) * levels);
      if (k < 0 || k >= LEVELS) continue;
      const run = Math.min(right, spans.east[k] * scale) - Math.max(left, spans.west[k] * scale);
      if (run > 0) sum += run;
    }
    return sum / (SLICES * (right - left));
  }

  // The share that stands on others' ground; beyond what is borne it is not reckoned further.
  function shareOnOthers({ near }, left, top, right, bottom) {
    let sum = 0;
    for (let i = 0; i < near.length && sum <= WORST_SHARE; i++) sum += shareOn(near[i], left, top, right, bottom);
    return sum;
  }

  const middleAt = (it, y) => { const span = spanAt(it, y); return span ? (span[0] + span[1]) / 2 : it.home.x; };

  // Places for words round a ring: under it first, then beside, above and at its corners.
  function* roundRing({ x, y }, reach, wide, high) {
    const [gap, aslant] = [reach + 3, (reach + 3) * Math.SQRT1_2];
    for (const slide of SLIDES) yield [x - wide / 2 + slide * wide, y + gap - 1, 0.05 * Math.abs(slide)];
    for (const slide of SLIDES) yield [x + gap, y - high / 2 + slide * high, 0.3 + 0.1 * Math.abs(slide)];
    for (const slide of SLIDES) yield [x - gap - wide, y - high / 2 + slide * high, 0.4 + 0.1 * Math.abs(slide)];
    for (const slide of SLIDES) yield [x - wide / 2 + slide * wide, y - gap - high + 1, 0.5 + 0.05 * Math.abs(slide)];
    for (const east of [true, false]) {
      for (const south of [true, false]) yield [east ? x + aslant : x - aslant - wide, south ? y + aslant : y - aslant - high, 1.5, CORNER_PX];
    }
  }

  // Ring and words stand in the block together: one over the other along its middle, or side by side.
  function* together(it, wide, high) {
    const { bounds: [west, north, east, south], reach, home } = it;
    const [tall, middle] = [2 * reach + 1 + high, (north + south) / 2];
    for (const shift of SHIFTS) {
      for (const isOver of [true, false]) {
        const from = middle + shift * (south - north) - tall / 2;
        const ringY = isOver ? from + reach : from + high + 1 + reach;
        const top = isOver ? from + 2 * reach + 1 : from;
        if (ringY - reach < north || ringY + reach > south) continue;
        yield { ring: { x: middleAt(it, ringY), y: ringY }, words: [middleAt(it, top + high / 2) - wide / 2, top], cost: (isOver ? 0 : 0.3) + Math.abs(shift) };
      }
    }
    const span = spanAt(it, home.y);
    const across = 2 * reach + 3 + wide;
    if (!span || across > span[1] - span[0]) return;
    const left = (span[0] + span[1] - across) / 2;
    yield { ring: { x: left + reach, y: home.y }, words: [left + 2 * reach + 3, home.y - high / 2], cost: 0.1 };
    yield { ring: { x: left + wide + 3 + reach, y: home.y }, words: [left, home.y - high / 2], cost: 0.2 };
  }

  // Places within a block's own outline, also away from its ring.
  function* withinOutline(it, wide, high) {
    const { bounds: [, north, , south], home } = it;
    for (let i = 0; i <= 8; i++) {
      const y = north + (i / 8) * (south - north - high);
      const span = spanAt(it, y + high / 2);
      if (!span || y < north) continue;
      const room = Math.max(0, span[1] - span[0] - wide);
      for (const over of room > 8 ? [0.5, 0, 1] : [0.5]) {
        const x = (span[0] + span[1] - wide) / 2 + (over - 0.5) * room;
        yield [x, y, 0.6 + 0.01 * Math.hypot(x + wide / 2 - home.x, y + high / 2 - home.y)];
      }
    }
  }

  // Whether a line comes into a box.
  const isMet = OM.isMet = ([ax, ay, bx, by], left, top, right, bottom) => {
    let [from, to] = [0, 1];
    for (const [at, run, low, high] of [[ax, bx - ax, left, right], [ay, by - ay, top, bottom]]) {
      if (Math.abs(run) < 1e-9) { if (at < low || at > high) return false; continue; }
      const [a, b] = [(low - at) / run, (high - at) / run];
      from = Math.max(from, Math.min(a, b));
      to = Math.min(to, Math.max(a, b));
    }
    return from <= to;
  };

  /** Whether words stand under their ring. */
  OM.isUnder = ({ ring, box: [left, top, right] }) => top > ring.y && left < ring.x && right > ring.x;

  const BELOW_PX = 16;
  /** Whether words stand under another's ring as its own would. On a farm of many, where not all have words, they would be taken for its own. */
  OM.isUnderOther = ({ box }, { radius }, { ring }) => OM.isUnder({ ring, box }) && box[1] - ring.y - radius < BELOW_PX;

  const meet = (a, b) => a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3];

  // What it costs words to stand somewhere; null where they would be taken for another's or stand on their own ring.
  function judged(it, ring, form, left, top, cost, corner) {
    const { wide, high } = it.forms[form];
    const [right, bottom] = [left + wide, top + high];
    const dx = left > ring.x ? left - ring.x : ring.x > right ? ring.x - right : 0;
    const dy = top > ring.y ? top - ring.y : ring.y > bottom ? ring.y - bottom : 0;
    const off = Math.sqrt(dx * dx + dy * dy) - it.reach;
    if (off < 0) return null;
    const own = shareOn(it, left, top, right, bottom);
    const isOwn = own >= OWN_SHARE;
    if (!isOwn && off > FARTHEST_PX) return null;
    const foreign = own < 0.99 ? shareOnOthers(it, left, top, right, bottom) : 0;
    const box = [left, top, right, bottom];
    if (it.square && meet(it.square(ring), box)) return null;
    const lines = it.lines.some((one) => isMet(one, left - LINE_PX, top - LINE_PX, right + LINE_PX, bottom + LINE_PX)) + it.spots.some((one) => meet(one, box));
    return {
      ring, form, box, foreign, off: off + it.reach - it.radius, away: isOwn ? INSIDE_PX : corner || BESIDE_PX,
      cost: cost + (it.spans ? 1 - own : 0) + 4 * foreign + 2 * lines + 0.02 * off + 0.012 * Math.hypot(ring.x - it.home.x, ring.y - it.home.y) + (form === "one" ? 0.25 : 0),
    };
  }

  /**
   * All seats of a block with its words in some forms ("two" lines, "one" line, the "code" alone), the best first.
   * A seat: {ring, form, box, foreign, away: from others' rings, off: its own ring's line, cost}. Those partly on others' ground only where there is no better.
   */
  OM.seatsOf = (it, forms) => {
    const [plain, poor] = [[], []];
    const add = (ring, form, [left, top, cost, corner]) => {
      const seat = judged(it, ring, form, left, top, cost, corner);
      if (seat) (seat.foreign <= FOREIGN_SHARE ? plain : seat.foreign <= WORST_SHARE || isUpon ? poor : []).push(seat);
    };
    // a block that lies upon another one has no ground that is its own alone
    const isUpon = shareOnOthers(it, it.home.x - 1, it.home.y - 1, it.home.x + 1, it.home.y + 1) > WORST_SHARE;
    for (const form of forms.filter((one) => it.forms[one])) {
      const { wide, high } = it.forms[form];
      for (const place of roundRing(it.home, it.reach, wide, high)) add(it.home, form, place);
      if (!it.spans) continue;
      for (const place of withinOutline(it, wide, high)) add(it.home, form, place);
      for (const { ring, words: [left, top], cost } of together(it, wide, high)) {
        const half = it.reach * 0.8;
        if (shareOn(it, ring.x - half, ring.y - half, ring.x + half, ring.y + half) < RING_SHARE) continue;
        for (const slide of SLIDES.slice(0, 3)) add(ring, form, [left + slide * wide, top, cost + 0.05 * Math.abs(slide)]);
      }
    }
    return (plain.length ? plain : poor).sort((a, b) => a.cost - b.cost);
  };

  /** Whether the words of a seat stand too near to another block's ring, or nearer to it than to their own. */
  OM.isAtRing = ({ box: [left, top, right, bottom], away, off }, other, { ring: { x, y } }) => {
    const limit = Math.max(other.reach + away, other.radius + off + NEARER_PX);
    const dx = left > x ? left - x : x > right ? x - right : 0;
    if (dx >= limit) return false;
    const dy = top > y ? top - y : y > bottom ? y - bottom : 0;
    return dx * dx + dy * dy < limit * limit;
  };

  /** Whether two blocks cannot have these seats both. */
  OM.isClash = (it, seat, other, otherSeat) => {
    const isMoved = seat.ring !== it.home || otherSeat.ring !== other.home;
    if (isMoved && Math.hypot(seat.ring.x - otherSeat.ring.x, seat.ring.y - otherSeat.ring.y) < it.reach + other.reach - 1) return true;
    if (seat.box && otherSeat.box && meet(seat.box, otherSeat.box)) return true;
    if (it.isOfMany && ((seat.box && OM.isUnderOther(seat, other, otherSeat)) || (otherSeat.box && OM.isUnderOther(otherSeat, it, seat)))) return true;
    if (seat.box && (OM.isAtRing(seat, other, otherSeat) || (other.square && meet(other.square(otherSeat.ring), seat.box)))) return true;
    return Boolean(otherSeat.box) && (OM.isAtRing(otherSeat, it, seat) || (it.square !== null && meet(it.square(seat.ring), otherSeat.box)));
  };

  /** The rooms that words of some widths need: {code, two, one}, each {wide, high}; without a figure the code's alone. */
  OM.formsOf = ([code, figure], size) => {
    const { two, one } = OM.FAR_SIZES[size];
    const forms = code ? { code: { wide: code, high: one } } : {};
    if (!figure) return forms;
    return { ...forms, two: { wide: Math.max(code, figure), high: two }, one: { wide: code + OM.BETWEEN_PX + figure, high: one } };
  };

  /** A seat whose words are narrower than it was sought for: beside the ring they stay at it, else they stand as far on their own ground as may be. */
  OM.narrowed = (it, seat, { wide }) => {
    const [left, top, right, bottom] = seat.box;
    const spare = right - left - wide;
    if (spare <= 0) return seat;
    const at = (share) => left + share * spare;
    const isAside = left >= seat.ring.x || right <= seat.ring.x;
    let from = at(isAside && left >= seat.ring.x ? 0 : isAside ? 1 : 0.5);
    let best = ownLess(it, from, top, from + wide, bottom);
    for (const share of isAside && best > 0 ? [] : NARROWER) {
      const found = ownLess(it, at(share), top, at(share) + wide, bottom);
      if (found > best + 0.05) [best, from] = [found, at(share)];
    }
    return { ...seat, box: [from, top, from + wide, bottom] };
  };
  const NARROWER = [0.25, 0.75, 0, 1];
  const ownLess = (it, left, top, right, bottom) => {
    const own = shareOn(it, left, top, right, bottom);
    return own > 0.99 ? own : own - shareOnOthers(it, left, top, right, bottom);
  };

  /** A block as the seats are sought for: its pixels at a zoom, how far its ring reaches, how large its words may become, and how large they are now. */
  OM.farItem = (block, { radius, ring, scale, size, most, now, hasSquare }) => {
    const reach = OM.reachOf(radius, ring);
    return {
      block, radius, reach, size, scale, spans: block.shape && block.shape.rings.length ? spansOf(block.shape) : null,
      forms: OM.formsOf(most, size), now: OM.formsOf(now, size), square: hasSquare ? (at) => OM.squareAt(at, reach) : null,
      lines: [], spots: [], near: [], home: { x: block.at.x * scale, y: block.at.y * scale }, bounds: block.box.map((at) => at * scale),
    };
  };
})();
