// Weak areas: patches hatched aslant to their rows, and the small hatched square beside a ring.
(() => {
  "use strict";
  const OM = (window.orchardMap = window.orchardMap || {});
  const { MARGIN } = OM;
  const LABEL_SIZE = 13;
  const SQUARE_PX = 10;

  /** The weak areas of a block's state, with their rings in world units. */
  OM.areasOf = (state) => (state.weak || []).filter((area) => area.ring && area.ring.length > 2).map((area) => {
    const rings = OM.ringsOf({ type: "Polygon", coordinates: [area.ring] });
    return { ...area, rings, box: OM.boxOf(rings) };
  });

  /** A weak area of a block by its id; undefined once the state has it no more. */
  OM.areaOf = (block, id) => (block.areas || []).find((area) => area.id === id);

  OM.hatchingOf = (signs, state) => signs.patches[state] || signs.patches.suspect;

  // Lines at an angle over a box, counted from a fixed point, so that nothing swims when the map moves.
  function lines(ctx, [west, north, east, south], angle, period, from) {
    const [ux, uy] = [Math.cos(angle), Math.sin(angle)];
    const off = (x, y) => (y - from.y) * ux - (x - from.x) * uy;
    const corners = [[west, north], [east, north], [east, south], [west, south]];
    const across = corners.map(([x, y]) => off(x, y));
    const along = corners.map(([x, y]) => (x - from.x) * ux + (y - from.y) * uy);
    const [start, end] = [Math.min(...along), Math.max(...along)];
    for (let k = Math.ceil(Math.min(...across) / period); k * period <= Math.max(...across); k++) {
      const [x, y] = [from.x - uy * k * period, from.y + ux * k * period];
      ctx.moveTo(x + ux * start, y + uy * start);
      ctx.lineTo(x + ux * end, y + uy * end);
    }
  }

  function trace(ctx, xy, view) {
    ctx.beginPath();
    for (let i = 0; i < xy.length; i += 2) ctx[i ? "lineTo" : "moveTo"](xy[i] * view.scale - view.x, xy[i + 1] * view.scale - view.y);
    ctx.closePath();
  }

  const pixelBox = (box, view) => box.map((value, i) => value * view.scale - (i % 2 ? view.y : view.x));

  /** Draw the small hatched square with its middle at a point: from far it says that a block has a weak area. */
  OM.drawSquare = (ctx, signs, x, y) => {
    const half = SQUARE_PX / 2;
    const box = [x - half, y - half, x + half, y + half];
    const shape = () => { ctx.beginPath(); ctx.rect(box[0], box[1], SQUARE_PX, SQUARE_PX); };
    ctx.save();
    shape();
    ctx.lineWidth = 4;
    ctx.strokeStyle = ctx.fillStyle = signs.palette.sheet;
    ctx.stroke();
    ctx.fill();
    ctx.clip();
    ctx.beginPath();
    lines(ctx, box, -Math.PI / 4, 3.4, { x, y });
    ctx.strokeStyle = signs.patches.suspect.colour;
    ctx.lineWidth = 1.2;
    ctx.stroke();
    ctx.restore();
    shape();
    ctx.strokeStyle = signs.patches.suspect.colour;
    ctx.lineWidth = 1.5;
    ctx.stroke();
    return box;
  };

  OM.OrchardLayer.include({
    /** What is left to prune is no matter of quality: that layer shows neither patches nor checks. */
    showsQuality() { return this.app.layer !== "remaining"; },

    areasIn(block, view) {
      if (!block.areas || !this.showsQuality()) return [];
      return block.areas.filter(({ box }) => {
        const [west, north, east, south] = pixelBox(box, view);
        return west < view.width && east > 0 && north < view.height && south > 0;
      });
    },

    paintPatches(block, view) {
      const size = Math.max(0.8, Math.min(1.5, OM.weightAt(this.pitchPx(block, view)) / this.app.signs.weight_px));
      for (const area of this.areasIn(block, view)) this.paintPatch(block, area, view, size);
    },

    paintPatch(block, area, view, size) {
      const { ctx, app } = this;
      const hatching = OM.hatchingOf(app.signs, area.state);
      const [xy] = area.rings;
      const [west, north, east, south] = pixelBox(area.box, view);
      const seen = [Math.max(0, west), Math.max(0, north), Math.min(view.width, east), Math.min(view.height, south)];
      const from = { x: xy[0] * view.scale - view.x, y: xy[1] * view.scale - view.y };
      const row = block.shape.byNumber.get(area.rows[0]);
      const place = row && OM.placeOf(row, area.positions[0]);
      const turn = place ? place.angle : 0;
      ctx.save();
      trace(ctx, xy, view);
      ctx.clip();
      ctx.beginPath();
      for (const aslant of hatching.is_crossed ? [1, -1] : [1]) lines(ctx, seen, turn - (aslant * Math.PI) / 4, hatching.period_px * size, from);
      this.strokeOnRows(hatching.colour, Math.max(1, hatching.width_px * size), 1.8);
      ctx.restore();
      const isChosen = app.selected && app.selected.area === area.id;
      trace(ctx, xy, view);
      this.strokeOnRows(hatching.colour, isChosen ? 3.6 : 1.8, 2.7);
    },

    // Ink on a dark row would not be seen: each line is laid on a little ground of its own.
    strokeOnRows(colour, width, ground) {
      const { ctx, app } = this;
      ctx.lineJoin = "round";
      for (const [stroke, wide] of [[app.signs.palette.sheet, width + ground], [colour, width]]) {
        ctx.strokeStyle = stroke;
        ctx.lineWidth = wide;
        ctx.stroke();
      }
    },

    // Over the patch, or just inside the edge of the screen: its odds in words where they are no wider than it, else the figures.
    namePatches(blocks, view, taken) {
      const areas = blocks.flatMap((block) => this.areasIn(block, view).map((area) => ({ area, block })));
      if (!areas.length) return;
      const [left, edge] = [view.width, view.height].map((length) => length * (MARGIN / (1 + 2 * MARGIN)));
      const top = edge + this.app.extent.choiceHeight();
      for (const { area, block } of areas) {
        const [west, north, east, south] = pixelBox(area.box, view);
        const [words] = [[area.odds_words, 1.3], [OM.shareWords(area), 3]]
          .find(([some, most]) => some && OM.widthOf(this.ctx, some, LABEL_SIZE, false) <= most * (east - west)) || [];
        const y = Math.max(north - 9, Math.min(top + 16, south - 9));
        const half = words ? OM.widthOf(this.ctx, words, LABEL_SIZE, false) / 2 + 2 : 0;
        const x = Math.max((west + east) / 2, Math.min(left + 80 + half, east - half));
        const box = [x - half, y - 8, x + half, y + 8];
        if (words && taken.isFreeFor(block, box, 0)) this.put(words, box, taken, { size: LABEL_SIZE });
      }
    },

    /** The weak area of a block that a world point lies in, where it is drawn. */
    areaUnder(block, x, y) {
      if (!block.areas || !this.showsQuality() || !this.isNear(block)) return null;
      return block.areas.find((area) => OM.isInside(area, x, y)) || null;
    },
  });
})();
