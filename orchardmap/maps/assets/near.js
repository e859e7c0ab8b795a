// What the canvas shows of a block from near: rows, patches, positions, checks, numbers.
(() => {
  "use strict";
  const OM = (window.orchardMap = window.orchardMap || {});
  const { MARGIN } = OM;
  const OTHERS = 0.3;
  const COLUMNS_PX = [-14, 14];
  const ENOUGH = 0.75;

  OM.OrchardLayer.include({
    paintRows(block, view) {
      const pitch = this.pitchPx(block, view);
      const weight = OM.weightAt(pitch);
      const closed = Boolean(block.facts.closed);
      if (!block.state) { this.paintUnknown(block, view); return; }
      const strength = this.app.look.rowsAlpha(block);
      const crew = this.app.look.crew;
      this.strokeRows(this.stretchesIn(block, view, closed), view, weight, crew ? strength * OTHERS : strength);
      if (crew) this.strokeRows(this.stretchesIn(block, view, closed, (row) => this.app.look.ownStretches(block, row)), view, weight, strength);
    },

    strokeRows(byKey, view, weight, strength) {
      for (const key of ["closed", "to_prune", "pruned", "again", "overlap"]) {
        const { alpha, share } = this.stance(key);
        this.ctx.globalAlpha = alpha * strength;
        OM.strokeStretches(this.ctx, this.app.signs, key, byKey[key], view, weight * share);
      }
      this.ctx.globalAlpha = 1;
    },

    // What lies on top of all rows: patches, positions, checks; then words, and a number gives way to what is already there.
    paintNear(blocks, view, taken) {
      const shown = blocks.filter((one) => this.app.look.has(one));
      for (const block of shown) {
        this.paintPatches(block, view);
        const pitch = this.pitchPx(block, view);
        if (block.state && pitch >= 15) this.paintPlaces(block, view, OM.weightAt(pitch));
        this.paintChecks(block, view, taken);
      }
      this.namePatches(shown, view, taken);
      for (const block of shown) this.paintNumbers(block, view, this.pitchPx(block, view), taken);
    },

    // What is pruned is not known yet: plain hairlines, so that nothing is claimed.
    paintUnknown(block, view) {
      const { ctx, app } = this;
      ctx.beginPath();
      for (const { xy } of block.shape.rows.flatMap((row) => row.parts)) {
        for (let i = 0; i < xy.length; i += 2) ctx[i ? "lineTo" : "moveTo"](xy[i] * view.scale - view.x, xy[i + 1] * view.scale - view.y);
      }
      ctx.strokeStyle = app.signs.palette.closed;
      ctx.lineWidth = 0.6;
      ctx.stroke();
    },

    // Each of the three layers brings something forward and lets the rest stand back.
    stance(key) {
      if (this.app.layer === "quality") return { alpha: key === "again" ? 1 : 0.35, share: 0.55 };
      if (this.app.layer === "remaining") return key === "to_prune" || key === "closed" ? { alpha: 1, share: 1.35 } : { alpha: 0.28, share: 0.5 };
      return { alpha: 1, share: 1 };
    },

    stretchesIn(block, view, closed, cut = (row) => this.app.stretchesOf(block, row)) {
      const byKey = { closed: [], to_prune: [], pruned: [], overlap: [], again: [] };
      const west = view.x / view.scale;
      const north = view.y / view.scale;
      const east = (view.x + view.width) / view.scale;
      const south = (view.y + view.height) / view.scale;
      for (const row of block.shape.rows) {
        const { box } = row;
        if (box[0] > east || box[2] < west || box[1] > south || box[3] < north) continue;
        for (const { kind, xy } of cut(row)) {
          const key = this.app.signs.kinds[kind];
          byKey[closed && kind === 0 ? "closed" : key].push(xy);
        }
      }
      return byKey;
    },

    paintPlaces(block, view, weight) {
      const { blank, pollinizer } = this.app.signs.places;
      for (const row of block.shape.rows) {
        for (const [positions, glyph] of [[row.blanks, blank], [row.pollinizers, pollinizer]]) {
          for (const position of positions) {
            const at = this.pixelOf(row, position, view);
            if (at) OM.drawGlyph(this.ctx, glyph, at.x, at.y, Math.max(10, weight * 2.4), this.app.signs.palette.sheet);
          }
        }
      }
    },

    pixelOf(row, position, view) {
      const place = OM.placeOf(row, position);
      if (!place) return null;
      const x = place.x * view.scale - view.x;
      const y = place.y * view.scale - view.y;
      return x > -20 && y > -20 && x < view.width + 20 && y < view.height + 20 ? { x, y } : null;
    },

    // All numbers of a block stand in one column: before the rows' first ends, else inside them, wherever more of them find room.
    paintNumbers(block, view, pitch, taken) {
      const every = [1, 2, 5, 10, 20].find((step) => step * pitch >= 13);
      if (!every) return;
      const size = Math.max(10, Math.min(15, every * pitch * 0.72));
      const numbered = block.shape.rows.filter((row, i) => every === 1 || row.number % every === 0 || i === 0);
      const columns = COLUMNS_PX.map((off) => numbered.map((row) => this.numberBox(row, view, off, size)).filter(({ box }) => box && taken.isFree(box)));
      const most = Math.max(...columns.map(({ length }) => length));
      for (const { words, box } of columns.find(({ length }) => length >= ENOUGH * most)) if (taken.isFree(box)) this.put(words, box, taken, { size });
    },

    numberBox(row, view, off, size) {
      const words = String(row.number);
      const at = this.numberPlace(row, view, off);
      if (!at) return { words, box: null };
      const half = OM.widthOf(this.ctx, words, size, false) / 2 + 1;
      return { words, box: [at.x - half, at.y - size * 0.45, at.x + half, at.y + size * 0.45] };
    },

    // So far from the row's first end; where that is out of sight, just inside the edge of the screen.
    numberPlace(row, view, off) {
      const first = row.parts[0];
      if (!first) return null;
      const { x, y, angle } = OM.pointAt(first, 0);
      const at = { x: x * view.scale - view.x + off * Math.cos(angle), y: y * view.scale - view.y + off * Math.sin(angle) };
      const pad = { x: view.width * (MARGIN / (1 + 2 * MARGIN)), y: view.height * (MARGIN / (1 + 2 * MARGIN)) };
      const low = { x: pad.x + 84, y: pad.y + 18 };
      const high = { x: view.width - pad.x - 16, y: view.height - pad.y - 16 };
      if (at.x >= low.x && at.x <= high.x && at.y >= low.y && at.y <= high.y) return at;
      const last = row.parts[row.parts.length - 1];
      const end = OM.pointAt(last, last.length);
      const dx = end.x * view.scale - view.x - at.x;
      const dy = end.y * view.scale - view.y - at.y;
      let from = 0;
      let to = 1;
      for (const [start, run, least, most] of [[at.x, dx, low.x, high.x], [at.y, dy, low.y, high.y]]) {
        if (Math.abs(run) < 1e-6) { if (start < least || start > most) return at; continue; }
        from = Math.max(from, Math.min((least - start) / run, (most - start) / run));
        to = Math.min(to, Math.max((least - start) / run, (most - start) / run));
      }
      return to > from ? { x: at.x + dx * from, y: at.y + dy * from } : at;
    },
  });
})();
