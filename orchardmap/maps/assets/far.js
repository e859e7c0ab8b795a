// What the canvas shows of blocks from far: rings, and beside each its code and one figure.
(() => {
  "use strict";
  const OM = (window.orchardMap = window.orchardMap || {});
  // where words are tried within an outline: shares of the way down and across
  const INSIDE_DOWN = [0, 0.04, 0.1, 0.18, 0.28, 0.4, 0.55, 0.7, 0.85, 1];
  const INSIDE_OVER = [0.5, 0.3, 0.7, 0.1, 0.9];
  const SMALLEST_PX = 6;
  const FIGURE_SIZE = 13;
  // Words of a block stand so far from others' rings that nobody takes them for theirs; at a corner of their own ring farther, for they are less plainly its own.
  const BESIDE_PX = 8;
  const CODE_PX = 5;
  const CORNER_PX = 18;
  // In a larger outline there is room beside the ring, and thousands of places to look at.
  const WIDEST_PX = 240;

  OM.OrchardLayer.include({
    /** The figure beside a block's code: what the chosen layer is about. Empty where there is nothing to say. */
    figure(facts) {
      if (this.app.layer === "remaining") return facts.pruned < facts.trees ? OM.count(facts.trees - facts.pruned) : OM.words("done");
      if (this.app.layer !== "quality") return OM.percent(facts.pruned, facts.trees);
      return facts.drawn ? `${OM.count(facts.drawn_faulty)}/${OM.count(facts.drawn)}` : "";
    },

    /** Draw the rings, the smallest on top, and return where they stand. */
    paintRings(blocks, view) {
      const factor = this.factorAt(view);
      const placed = blocks.map((block) => this.place(block, view, factor)).sort((a, b) => b.radius - a.radius);
      for (const { block, x, y, radius, ring } of placed) {
        this.ctx.globalAlpha = this.app.look.alphaOf(block);
        OM.drawRing(this.ctx, this.app.signs, x, y, radius, ring);
        this.rings.push({ block, x, y, radius });
      }
      this.ctx.globalAlpha = 1;
      return placed;
    },

    /** Write the words of blocks, whether their rows or their rings are drawn. */
    nameBlocks(named, taken) {
      for (const it of this.inTurn(named.filter(({ block }) => this.app.look.has(block)))) {
        if (it.boxes) this.nameRows(it, taken);
        else this.nameRing(it, taken);
      }
    },

    nameRows({ block, words, boxes }, taken) {
      const isChosen = this.app.selected && this.app.selected.block === block;
      const isFree = (one) => taken.isFreeFor(block, one, 0) && !this.isOnOther(block, one);
      // words that nobody sees yet come last: what is seen of the block has its name now
      const [west, north, east, south] = this.view.seen;
      const isSeen = ([left, top, right, bottom]) => left >= west && top >= north && right <= east && bottom <= south;
      const box = boxes.find((one) => isSeen(one) && isFree(one)) || this.boxInside(block, boxes[0], isFree)
        || boxes.find(isFree) || (isChosen && boxes[0]);
      if (box) this.put(words, box, taken, { size: 14, bold: true });
    },

    /** Whether words would stand on another block's ground: there they would be taken for its own. */
    isOnOther(block, [left, top, right, bottom]) {
      const { view } = this;
      const world = [[left, top], [right, top], [left, bottom], [right, bottom], [(left + right) / 2, (top + bottom) / 2]]
        .map(([x, y]) => [(x + view.x) / view.scale, (y + view.y) / view.scale]);
      const [west, north] = world[0];
      const [east, south] = world[3];
      return this.seenBlocks.some((other) => other !== block && other.shape
        && other.box[0] < east && other.box[2] > west && other.box[1] < south && other.box[3] > north
        && world.some(([x, y]) => OM.isInside(other.shape, x, y)));
    },

    /** A free place for words as large as `like` within the part of a block's outline that is seen, from above and from its middle. */
    boxInside(block, like, isFree) {
      const { view } = this;
      const [wide, high] = [like[2] - like[0], like[3] - like[1]];
      const [west, north, east, south] = block.box.map((at, i) => at * view.scale - (i % 2 ? view.y : view.x));
      const [left, top] = [Math.max(west, view.seen[0]), Math.max(north, view.seen[1])];
      const [right, bottom] = [Math.min(east, view.seen[2]) - wide, Math.min(south, view.seen[3]) - high];
      if (right < left || bottom < top) return null;
      const isWithin = (box) => [[box[0], box[1]], [box[2], box[1]], [box[0], box[3]], [box[2], box[3]]]
        .every(([x, y]) => OM.isInside(block.shape, (x + view.x) / view.scale, (y + view.y) / view.scale));
      for (const down of INSIDE_DOWN) {
        for (const over of INSIDE_OVER) {
          const [x, y] = [left + over * (right - left), top + down * (bottom - top)];
          const box = [x, y, x + wide, y + high];
          if (isWithin(box) && isFree(box)) return box;
        }
      }
      return null;
    },

    // The hatched square of a weak area stands north-west of the ring, where no words go first.
    paintSquare({ block, x, y, radius, ring }, taken) {
      if (!block.facts.weak || !this.showsQuality() || !this.app.look.has(block)) return;
      const off = (OM.reachOf(radius, ring) + 4) * Math.SQRT1_2;
      taken.take(OM.drawSquare(this.ctx, this.app.signs, x - off, y - off));
    },

    // One factor for the whole farm at a zoom; kept, so that dragging costs nothing.
    factorAt(view) {
      const { app } = this;
      if (this.factorFor !== app.overview || this.factorScale !== view.scale) {
        this.factorFor = app.overview;
        this.factorScale = view.scale;
        this.factor = app.list.length ? OM.ringFactor(app.list, view.scale, app.gap) : 1;
      }
      return this.factor;
    },

    // Whose words come first where there is no room for all: the chosen block, work that somebody must see to, then the largest; by code where all is alike.
    inTurn(named) {
      const chosen = this.app.selected && this.app.selected.block;
      const isNeedy = ({ verdict, overlap, again, weak }) => verdict === "send_back" || overlap || again || weak;
      const rank = ({ block: { facts }, block }) => {
        if (block === chosen) return 0;
        if (this.app.layer === "remaining") return facts.pruned < facts.trees ? 1 : 2;
        if (this.app.layer === "quality") return facts.verdict === "send_back" ? 1 : facts.drawn ? 2 : 3;
        return isNeedy(facts) ? 1 : 2;
      };
      const order = (a, b) => rank(a) - rank(b) || b.block.facts.trees - a.block.facts.trees || (a.block.facts.code < b.block.facts.code ? -1 : 1);
      return [...named].sort(order);
    },

    // Ring and words stand in the block together, one over the other or side by side, where there is room.
    place(block, view, factor) {
      const { box } = block;
      const facts = this.app.look.factsOf(block);
      const radius = Math.max(SMALLEST_PX, factor * Math.sqrt(Math.max(1, facts.trees)));
      const ring = this.ringOf(facts);
      const it = { block, radius, ring, x: block.at.x * view.scale - view.x, y: block.at.y * view.scale - view.y, ...this.wordsOf(facts) };
      const across = 2 * OM.reachOf(radius, ring);
      const wide = (box[2] - box[0]) * view.scale;
      const high = (box[3] - box[1]) * view.scale;
      if (across + it.high <= 0.8 * high && Math.max(across, it.wide) <= 0.92 * wide) {
        it.y -= (it.high + 2) / 2;
        it.spot = [it.x - it.wide / 2, it.y + across / 2 + 2];
      } else if (across + 4 + it.wide <= 0.85 * wide && Math.max(across, it.high) <= 0.7 * high) {
        it.x -= (it.wide + 4) / 2;
        it.spot = [it.x + across / 2 + 4, it.y - it.high / 2];
      }
      return it;
    },

    wordsOf(facts) {
      const figure = this.figure(facts);
      return this.measured(figure ? [facts.code, figure] : [facts.code]);
    },

    measured(lines) {
      const wide = Math.max(...lines.map((words, i) => OM.widthOf(this.ctx, words, i ? FIGURE_SIZE : 15, !i)));
      return { lines, wide, high: lines.length > 1 ? 31 : 16 };
    },

    ringOf(facts) {
      const { piths } = this.app.signs;
      const isBegun = facts.pruned > 0;
      const shared = { hasOverlap: facts.overlap > 0, hasAgain: facts.again > 0, isClosed: Boolean(facts.closed) };
      const share = facts.trees ? facts.pruned / facts.trees : 0;
      const pith = isBegun ? piths[facts.verdict] : null;
      if (this.app.layer === "remaining") return { ...shared, share: 1 - share, arc: "to_prune", rest: "finished", pith: null };
      if (this.app.layer === "quality") {
        const faulty = facts.drawn ? facts.drawn_faulty / facts.drawn : 0;
        return { ...shared, hasOverlap: false, share: faulty, arc: "faulty", rest: facts.drawn ? "sound" : "unchecked", pith: facts.drawn ? pith : null };
      }
      return { ...shared, share, arc: "pruned", rest: "to_prune", pith };
    },

    nameRing(it, taken) {
      const { block, x, y, radius, ring, wide, high } = it;
      const gap = OM.reachOf(radius, ring) + 3;
      const isChosen = this.app.selected && this.app.selected.block === block;
      const aslant = gap * Math.SQRT1_2;
      const beside = [[x - wide / 2, y + gap - 1], [x + gap, y - high / 2], [x - gap - wide, y - high / 2], [x - wide / 2, y - gap - high + 1]];
      if (it.spot) beside.unshift(it.spot);
      const corners = [[x + aslant, y + aslant], [x - aslant - wide, y + aslant], [x + aslant, y - aslant - high], [x - aslant - wide, y - aslant - high]];
      const isFree = (away) => ([left, top]) => taken.isFreeFor(block, [left, top, left + wide, top + high], away);
      const spot = beside.find(isFree(it.lines.length > 1 ? BESIDE_PX : CODE_PX)) || corners.find(isFree(CORNER_PX)) || this.spotInside(it, isFree(CODE_PX)) || (isChosen && beside[0]);
      if (spot) this.writeLabel(it, spot, taken);
      else if (it.lines.length > 1) this.nameRing({ ...it, spot: null, ...this.measured(it.lines.slice(0, 1)) }, taken);
    },

    /** A free place within a block's own outline, the nearest to its ring: there words are plainly its own, also away from the ring. */
    spotInside({ block, x, y, wide, high }, isFree) {
      const { view } = this;
      const isSeen = x > 0 && y > 0 && x < view.width && y < view.height;
      if (!isSeen || !block.shape || !block.shape.rings.length) return null;
      const [west, north, east, south] = block.box.map((at, i) => at * view.scale - (i % 2 ? view.y : view.x));
      if (Math.max(east - west, south - north) > WIDEST_PX) return null;
      const holds = (left, top) => OM.isInside(block.shape, (left + view.x) / view.scale, (top + view.y) / view.scale);
      const spots = [];
      for (let top = north; top + high <= south; top += high / 2) for (let left = west; left + wide <= east; left += wide / 2) spots.push([left, top]);
      const far = ([left, top]) => Math.hypot(left + wide / 2 - x, top + high / 2 - y);
      return spots.sort((a, b) => far(a) - far(b)).find(([left, top]) => isFree([left, top])
        && [0, 0.5, 1].every((at) => holds(left + at * wide, top) && holds(left + at * wide, top + high)));
    },

    writeLabel({ lines, wide, high }, [left, top], taken) {
      const box = [left, top, left + wide, top + high];
      taken.take(box);
      this.labels.push({ words: lines.join(" "), box });
      OM.write(this.ctx, this.app.signs, lines[0], left + wide / 2, top + 8, { bold: true, size: 15, align: "center" });
      if (lines[1]) OM.write(this.ctx, this.app.signs, lines[1], left + wide / 2, top + 24, { size: FIGURE_SIZE, align: "center" });
    },
  });
})();
