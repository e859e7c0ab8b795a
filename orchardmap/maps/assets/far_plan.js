// Which seat each block has at a zoom: as many as possible with code and figure. The same for the whole farm however it is dragged.
(() => {
  "use strict";
  const OM = (window.orchardMap = window.orchardMap || {});
  const SMALLEST_PX = 6;
  // Rings, then words too, give way a little where more blocks then have their figure: what is tried, in this order.
  const TRIES = [[1, "large"], [0.86, "large"], [0.74, "large"], [0.74, "small"], [0.64, "small"]];
  // where far more go without, moving one or another would be long and in vain
  const ENOUGH = 0.6;
  const LARGEST_AT_LEAST_PX = 11;
  // beyond, each block takes what its betters leave: there is no time to look for more, and hardly room
  const MANY = 150;
  const FEW = 60;
  const ROUNDS = 4;
  const DEPTH = 3;
  const BLOCKERS = 2;
  const WORTH = 0.05; // a better seat is worth this much at least, so that an end is found
  const LOOKS = 1500; // seats looked at for one block
  const CELL_PX = 96;
  const SQUARE_HALF_PX = 7;
  const FULL = ["two", "one"];
  const soughtOf = ({ length }) => (length <= MANY ? FULL : ["two"]);

  // How far ring and words of a block may reach.
  function aroundOf({ forms, reach, home, bounds }) {
    const wide = reach + 3 + Math.max(0, ...FULL.map((form) => (forms[form] ? forms[form].wide : 0)));
    const high = reach + 3 + (forms.two ? forms.two.high : 0);
    return [Math.min(bounds[0], home.x - wide), Math.min(bounds[1], home.y - high), Math.max(bounds[2], home.x + wide), Math.max(bounds[3], home.y + high)];
  }

  // Blocks whose rings or words may meet, found by cells.
  function meetNear(items) {
    const cells = new Map();
    for (const it of items) {
      const [west, north, east, south] = (it.around = aroundOf(it));
      for (let i = Math.floor(west / CELL_PX); i <= east / CELL_PX; i++) {
        for (let j = Math.floor(north / CELL_PX); j <= south / CELL_PX; j++) {
          const key = `${i},${j}`;
          if (!cells.has(key)) cells.set(key, []);
          cells.get(key).push(it);
        }
      }
    }
    const isNear = (a, b) => a.around[0] < b.around[2] && b.around[0] < a.around[2] && a.around[1] < b.around[3] && b.around[1] < a.around[3];
    const near = new Map(items.map((it) => [it, new Set()]));
    for (const group of cells.values()) for (const it of group) for (const other of group) if (other !== it && isNear(it, other)) near.get(it).add(other);
    for (const it of items) it.near = [...near.get(it)];
  }

  // Lines and signs of the ground near each block: words stand on them only where no other place is free.
  function knowGround(items, ground, scale) {
    const lines = ground.flatMap(({ lines: all }) => all).flatMap((xy) => Array.from({ length: xy.length / 2 - 1 }, (_, i) => Array.from(xy.subarray(2 * i, 2 * i + 4), (at) => at * scale)));
    const spots = ground.flatMap(({ points, areas }) => [...points, ...areas.flat()]).map((xy) => OM.boxOf([xy]).map((at, i) => at * scale + (i < 2 ? -8 : 8)));
    for (const it of items) {
      const [west, north, east, south] = it.around;
      it.lines = lines.filter(([ax, ay, bx, by]) => Math.min(ax, bx) < east && Math.max(ax, bx) > west && Math.min(ay, by) < south && Math.max(ay, by) > north);
      it.spots = spots.filter((box) => box[0] < east && box[2] > west && box[1] < south && box[3] > north);
    }
  }

  class Plan {
    constructor(items) {
      this.items = items;
      this.trail = [];
      for (const it of items) {
        it.isOfMany = items.length > MANY;
        it.seats = OM.seatsOf(it, it.forms.two ? soughtOf(items) : ["code"]);
        it.seat = { ring: it.home, form: null, box: null, away: 0 };
      }
    }

    // Seats beside one another mostly clash with the same block: that one is asked first.
    isFree(it, seat) {
      const clashes = (other) => OM.isClash(it, seat, other, other.seat);
      if (it.lastInWay && clashes(it.lastInWay)) return false;
      const found = it.near.find(clashes);
      if (found) it.lastInWay = found;
      return !found;
    }

    // Those in the way of a seat; null where they are more than may be moved.
    blockersOf(it, seat) {
      const found = [];
      for (const other of it.near) if (OM.isClash(it, seat, other, other.seat) && found.push(other) > BLOCKERS) return null;
      return found;
    }

    set(it, seat) {
      this.trail.push([it, it.seat]);
      it.seat = seat;
      return true;
    }

    backTo(mark) { while (this.trail.length > mark) { const [it, seat] = this.trail.pop(); it.seat = seat; } }

    take(it, seats) {
      const seat = seats.find((one) => this.isFree(it, one));
      return Boolean(seat) && this.set(it, seat);
    }

    /** Give a block a seat by moving those in its way to other seats of theirs; what was tried in vain is undone. */
    push(it, depth, held) {
      for (const seat of it.seats) {
        if (this.left-- <= 0) return false;
        const blockers = this.blockersOf(it, seat);
        if (!blockers) continue;
        if (!blockers.length) return this.set(it, seat);
        if (depth === 0 || blockers.some((one) => held.has(one) || !one.seat.box)) continue;
        const mark = this.trail.length;
        this.set(it, seat);
        held.add(it);
        const isDone = blockers.every((one) => this.isFree(one, one.seat) || this.push(one, depth - 1, held));
        held.delete(it);
        if (isDone) return true;
        this.backTo(mark);
      }
      return false;
    }

    /** Each takes the best that its betters left. Where blocks are many, words under their own rings come first: one that stood under another's bare ring would be taken for its own. */
    fill() {
      if (this.items.length > MANY) for (const it of this.items) this.take(it, it.seats.filter(OM.isUnder));
      for (const it of this.items) if (!it.seat.box) this.take(it, it.seats);
      return this;
    }

    get without() { return this.items.filter((it) => it.seats.length && !it.seat.box); }

    improve() {
      for (let round = 0; round < ROUNDS; round++) {
        if (!this.without.filter((it) => { this.left = LOOKS; return this.push(it, DEPTH, new Set()); }).length) break;
      }
      return this;
    }

    /** Whoever could stand better now does, also where one or two others then stand a little worse. */
    settle() {
      for (let round = 0; round < ROUNDS; round++) if (!this.items.filter((it) => it.seat.box && this.isBettered(it)).length) break;
      return this;
    }

    isBettered(it) {
      const { cost } = it.seat;
      for (const seat of it.seats) {
        if (seat.cost > cost - WORTH) return false;
        const blockers = this.blockersOf(it, seat);
        if (!blockers || blockers.some((one) => !one.seat.box)) continue;
        const mark = this.trail.length;
        this.set(it, seat);
        let spent = seat.cost;
        const isBetter = blockers.every((one) => {
          const was = one.seat.cost;
          const next = one.seats.find((other) => spent + other.cost - was > cost - WORTH || this.isFree(one, other));
          if (!next || spent + next.cost - was > cost - WORTH) return false;
          spent += next.cost - was;
          return this.set(one, next);
        });
        if (isBetter) return true;
        this.backTo(mark);
      }
      return false;
    }

    /** Where not all found a good seat for the widest words that they may have, those left look once more, with the words that stand there now. */
    squeeze() {
      const now = (it, seat) => OM.narrowed(it, seat, it.now[seat.form] || it.now.code);
      for (const it of this.items) {
        const isPoor = it.seat.box && it.seat.foreign > OM.FOREIGN_SHARE;
        if (it.seat.box) it.seat = now(it, it.seat);
        it.seats = it.seat.box && !isPoor ? it.seats.map((seat) => now(it, seat)) : OM.seatsOf({ ...it, forms: it.now }, FULL);
        it.isPoor = isPoor;
      }
      for (const it of this.items) if (it.isPoor) this.take(it, it.seats.filter(({ foreign }) => foreign < it.seat.foreign));
      return this.improve();
    }

    codes() {
      for (const it of this.items) if (!it.seat.box) this.take(it, OM.seatsOf(it, ["code"]));
      return this;
    }

    get full() { return this.items.filter(({ seat }) => seat.box).length; }
  }

  function planOf(items, ground, scale) {
    meetNear(items);
    knowGround(items, ground, scale);
    return new Plan(items).fill();
  }

  /**
   * Seats of all blocks of a farm at a zoom, and whether all have one for the widest words that they may have: then nothing hangs on what the words are.
   * made: (share of the usual ring, size of words) => items in an order that hangs on the ground alone; rankOf: who comes first now, by block;
   * isQuick: as they come, for it is asked again soon.
   */
  OM.planFar = (made, { rankOf, ground, scale, isQuick }) => {
    const isTried = !isQuick && made(1, "large").length <= MANY;
    let best = { full: 0, share: 1, size: "large" };
    for (const [share, size] of isTried ? TRIES : []) {
      const items = made(share, size);
      const sought = items.filter(({ forms }) => forms.code).length;
      if (best.full && Math.max(...items.map(({ radius }) => radius)) < LARGEST_AT_LEAST_PX) break;
      const plan = planOf(items, ground, scale);
      if (plan.full >= ENOUGH * sought || items.length <= FEW) plan.improve();
      if (plan.full === sought) return { items: plan.settle().items, share, isWhole: true };
      if (plan.full > best.full) best = { full: plan.full, share, size };
    }
    const { full, share, size } = best;
    const plan = planOf(made(share, size).sort((a, b) => rankOf.get(a.block) - rankOf.get(b.block)), ground, scale);
    // where far more go without, what few would gain is not worth the wait
    if (isTried && (full >= ENOUGH * plan.items.length || plan.items.length <= FEW)) plan.improve().settle().squeeze();
    return { items: plan.codes().items, share, isWhole: false };
  };

  /** The radius of a block's ring. */
  OM.radiusOf = (facts, factor) => Math.max(SMALLEST_PX, factor * Math.sqrt(Math.max(1, facts.trees)));

  /** The hatched square of a weak area north-west of a ring, where no words go first. */
  OM.squareAt = (ring, reach) => {
    const off = (reach + 4) * Math.SQRT1_2;
    return [ring.x - off - SQUARE_HALF_PX, ring.y - off - SQUARE_HALF_PX, ring.x - off + SQUARE_HALF_PX, ring.y - off + SQUARE_HALF_PX];
  };
})();
