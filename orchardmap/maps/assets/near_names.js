// The words of a block whose rows are drawn: its code and figure, on its own ground and off its signs where that can be.
(() => {
  "use strict";
  const OM = (window.orchardMap = window.orchardMap || {});
  const SIZE = 14;
  const HALF_HIGH_PX = 10;
  const LINE_COUNTS = 3; // words over a power line or a track hide more than those over a tree

  OM.OrchardLayer.include({
    /** The code and figure of a block, and where they go when there is no room on its own ground: over it, else under it. */
    tagOf(block, view) {
      const facts = this.app.look.factsOf(block);
      const isLeft = this.app.layer === "remaining" && facts.pruned < facts.trees;
      const words = [facts.code, isLeft ? OM.words("n_left", { n: this.figure(facts) }) : this.figure(facts)].filter(Boolean).join("  ");
      const [west, north, east, south] = block.box.map((value, i) => value * view.scale - (i % 2 ? view.y : view.x));
      const half = OM.widthOf(this.ctx, words, SIZE, true) / 2 + 3;
      const at = [[(west + east) / 2, north - 11], [(west + east) / 2, south + 11], [(west + east) / 2, north + 14], [west + half, north - 11], [east - half, north - 11]];
      return { block, words, radius: Infinity, boxes: at.map(([x, y]) => [x - half, y - HALF_HIGH_PX, x + half, y + HALF_HIGH_PX]) };
    },

    nameRows({ block, words, boxes }, taken) {
      const isChosen = this.app.selected && this.app.selected.block === block;
      const isFree = (one) => taken.isFreeFor(block, one, 0) && !this.isOnOther(block, one);
      // words that nobody sees yet come last: what is seen of the block has its name now
      const [west, north, east, south] = this.view.seen;
      const isSeen = ([left, top, right, bottom]) => left >= west && top >= north && right <= east && bottom <= south;
      const lines = this.linesAt(boxes[0], block);
      const hidden = { signs: this.signsOf(block), lines };
      const box = this.boxInside(block, boxes[0], this.view.seen, isFree, hidden) || boxes.find((one) => isSeen(one) && isFree(one) && !this.isOnLine(one, lines))
        || this.boxInside(block, boxes[0], [0, 0, this.view.width, this.view.height], isFree, hidden) || boxes.find((one) => isFree(one) && !this.isOnLine(one, lines)) || (isChosen && boxes[0]);
      if (box) this.put(words, box, taken, { size: SIZE, bold: true, isOnRows: true });
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

    // Pieces of brooks, tracks and power lines, in pixels, that may come near the words of a block, in or beside it.
    linesAt([left, , right], { box }) {
      const { x, y, scale } = this.view;
      const around = OM.widened(box, (right - left) / scale);
      return this.groundIn(this.view).filter(({ box: at }) => OM.metBy(at, [around])).flatMap(({ lines }) => lines.flatMap((xy) => OM.piecesIn(xy, around)))
        .map((piece) => piece.map((at, i) => at * scale - (i % 2 ? y : x)));
    },

    /** Whether a line runs through a box: words beyond it would be taken for those of what lies there. */
    isOnLine: ([left, top, right, bottom], lines) => lines.some((piece) => OM.isMet(piece, left, top, right, bottom)),

    /** A free place on a block's own ground for words as large as `like`: the one that hides the fewest signs, the power line above all. */
    boxInside(block, like, seen, isFree, { signs, lines }) {
      const { x, y, scale } = this.view;
      const toWorld = (box) => box.map((at, i) => at + (i % 2 ? y : x));
      let [best, least] = [null, Infinity];
      for (const place of OM.nearSeats(block.shape, [like[2] - like[0], like[3] - like[1]], scale, toWorld(seen))) {
        const box = place.map((at, i) => at - (i % 2 ? y : x));
        let met = OM.metBy(box, signs);
        if (met < least && this.isOnLine(box, lines)) met += LINE_COUNTS;
        if (met >= least || !isFree(box)) continue;
        if (!met) return box;
        [best, least] = [box, met];
      }
      return best;
    },

    // What words of a block would hide of it beside lines: its weak areas, the trees that were looked at, points and ponds of the ground.
    signsOf(block) {
      const { view } = this;
      const pixels = ([west, north, east, south]) => [west * view.scale - view.x, north * view.scale - view.y, east * view.scale - view.x, south * view.scale - view.y];
      const areas = this.areasIn(block, view).map(({ box }) => pixels(box));
      const ground = this.groundIn(view).filter(({ points, areas: all }) => points.length + all.length).map(({ box }) => OM.widened(pixels(box), HALF_HIGH_PX));
      return [...areas, ...ground, ...this.checksIn(block, view).map(({ box }) => box)];
    },
  });
})();
