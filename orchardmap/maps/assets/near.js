// What the canvas shows of a block from near: rows, patches, positions, checks, numbers.
(() => {
  "use strict";
  const OM = (window.orchardMap = window.orchardMap || {});
  const { MARGIN } = OM;
  const OTHERS = 0.3;

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

    // What lies on top of all rows: patches, positions, checks, numbers, tags. A number gives way to a tag.
    paintNear(blocks, view) {
      const taken = new OM.Taken();
      const tags = blocks.filter((block) => this.app.look.has(block)).map((block) => this.tagOf(block, view));
      for (const { box } of tags) taken.take(box);
      const patchLabels = this.patchLabels(blocks, view, taken);
      for (const block of blocks.filter((one) => this.app.look.has(one))) {
        const pitch = this.pitchPx(block, view);
        this.paintPatches(block, view);
        if (block.state && pitch >= 15) this.paintPlaces(block, view, OM.weightAt(pitch));
        this.paintNumbers(block, view, pitch, taken);
        if (this.showsQuality()) this.paintChecks(block, view, pitch);
      }
      this.writePatchLabels(patchLabels);
      for (const { words, x, y } of tags) OM.write(this.ctx, this.app.signs, words, x, y, { size: 14, bold: true, align: "center" });
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

    paintNumbers(block, view, pitch, taken) {
      const every = [1, 2, 5, 10, 20].find((step) => step * pitch >= 13);
      if (!every) return;
      const size = Math.max(10, Math.min(15, every * pitch * 0.72));
      const rows = block.shape.rows;
      rows.forEach((row, i) => {
        if (every > 1 && row.number % every && i !== 0) return;
        const at = this.numberPlace(row, view);
        if (!at) return;
        const box = [at.x - size * 0.6, at.y - size * 0.45, at.x + size * 0.6, at.y + size * 0.45];
        if (!taken.isFree(box)) return;
        taken.take(box);
        OM.write(this.ctx, this.app.signs, String(row.number), at.x, at.y, { size, align: "center" });
      });
    },

    // Before the row's first end; where that is out of sight, just inside the edge of the screen.
    numberPlace(row, view) {
      const first = row.parts[0];
      if (!first) return null;
      const { x, y, angle } = OM.pointAt(first, 0);
      const at = { x: x * view.scale - view.x - 14 * Math.cos(angle), y: y * view.scale - view.y - 14 * Math.sin(angle) };
      const pad = { x: view.width * (MARGIN / (1 + 2 * MARGIN)), y: view.height * (MARGIN / (1 + 2 * MARGIN)) };
      const low = { x: pad.x + 84, y: pad.y + 18 };
      const high = { x: view.width - pad.x - 16, y: view.height - pad.y - 16 };
      if (at.x >= low.x && at.x <= high.x && at.y >= low.y && at.y <= high.y) return at;
      const last = row.parts[row.parts.length - 1];
      const end = OM.pointAt(last, last.length);
      const ux = end.x * view.scale - view.x - at.x;
      const uy = end.y * view.scale - view.y - at.y;
      let from = 0;
      let to = 1;
      for (const [start, run, least, most] of [[at.x, ux, low.x, high.x], [at.y, uy, low.y, high.y]]) {
        if (Math.abs(run) < 1e-6) { if (start < least || start > most) return at; continue; }
        from = Math.max(from, Math.min((least - start) / run, (most - start) / run));
        to = Math.min(to, Math.max((least - start) / run, (most - start) / run));
      }
      return to > from ? { x: at.x + ux * from, y: at.y + uy * from } : at;
    },

    tagOf(block, view) {
      const facts = this.app.look.factsOf(block);
      const left = this.app.layer === "remaining" && facts.pruned < facts.trees ? " left" : "";
      const words = [facts.code, this.figure(facts) + left].filter(Boolean).join("  ");
      const x = ((block.box[0] + block.box[2]) / 2) * view.scale - view.x;
      const y = block.box[1] * view.scale - view.y - 11;
      const half = OM.widthOf(this.ctx, words, 14, true) / 2 + 3;
      return { words, x, y, box: [x - half, y - 10, x + half, y + 10] };
    },
  });
})();
