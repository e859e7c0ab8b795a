// One canvas for the whole orchard: blocks as rings from far, rows from near. Cost goes by what is in view.
(() => {
  "use strict";
  const OM = (window.orchardMap = window.orchardMap || {});
  const MARGIN = 0.2;
  const NEAR_PITCH_PX = 4;
  const OUTLINE_PX = 34;
  const OUTLINES_AT_MOST = 120;
  const TAP_PITCH_PX = 24;

  const number = new Intl.NumberFormat("en");
  OM.count = (value) => number.format(value);
  /** A share in words: never 100 % before the last tree, never 0 % after the first. */
  OM.percent = (part, whole) => {
    if (!whole || !part) return "0\u00a0%";
    if (part >= whole) return "100\u00a0%";
    const share = Math.floor((100 * part) / whole);
    return share < 1 ? "<\u20091\u00a0%" : `${share}\u00a0%`;
  };

  // Places already taken by rings and words, in cells, so that labels keep out of one another's way.
  class Taken {
    constructor() { this.cells = new Map(); }

    static near(box) {
      const keys = [];
      for (let i = box[0] >> 6; i <= box[2] >> 6; i++) for (let j = box[1] >> 6; j <= box[3] >> 6; j++) keys.push(i * 100003 + j);
      return keys;
    }

    isFree(box) {
      return Taken.near(box).every((key) => (this.cells.get(key) || []).every(
        (other) => other[0] >= box[2] || other[2] <= box[0] || other[1] >= box[3] || other[3] <= box[1]));
    }

    take(box) {
      for (const key of Taken.near(box)) {
        if (!this.cells.has(key)) this.cells.set(key, []);
        this.cells.get(key).push(box);
      }
    }
  }

  OM.OrchardLayer = L.Layer.extend({
    initialize(app) { this.app = app; },

    onAdd(map) {
      this.canvas = L.DomUtil.create("canvas", "orchard-canvas leaflet-zoom-animated", this.getPane());
      this.canvas.setAttribute("aria-hidden", "true");
      this.ctx = this.canvas.getContext("2d");
      this.redraw();
      return map;
    },

    onRemove() { this.canvas.remove(); cancelAnimationFrame(this.waiting); },

    getEvents() {
      return { moveend: this.redraw, resize: this.redraw, move: this.follow, zoom: this.stretch, zoomanim: this.animate };
    },

    /** Draw at the next frame; asking twice draws once. */
    schedule() {
      if (this.waiting) return;
      this.waiting = requestAnimationFrame(() => { this.waiting = 0; this.redraw(); });
    },

    // While a finger drags, the canvas travels with the pane; draw again only when its edge comes into view.
    follow() {
      if (this._map._animatingZoom || !this.origin) return;
      const corner = this._map.containerPointToLayerPoint([0, 0]);
      const size = this._map.getSize();
      const held = corner.x >= this.origin.x && corner.y >= this.origin.y
        && corner.x + size.x <= this.origin.x + this.size.x && corner.y + size.y <= this.origin.y + this.size.y;
      if (!held) this.schedule();
    },

    animate(event) { this.transform(event.center, event.zoom); },

    stretch() { this.transform(this._map.getCenter(), this._map.getZoom()); },

    transform(center, zoom) {
      if (!this.drawnAt) return;
      const scale = this._map.getZoomScale(zoom, this.drawnAt.zoom);
      const corner = this._map._latLngToNewLayerPoint(this.drawnAt.corner, zoom, center);
      L.DomUtil.setTransform(this.canvas, corner, scale);
    },

    redraw() {
      const map = this._map;
      if (!map || map._animatingZoom) return;
      const began = performance.now();
      const size = map.getSize();
      const pad = size.multiplyBy(MARGIN).round();
      this.origin = map.containerPointToLayerPoint(pad.multiplyBy(-1)).round();
      this.size = size.add(pad.multiplyBy(2));
      this.fit();
      this.drawnAt = { zoom: map.getZoom(), corner: map.layerPointToLatLng(this.origin) };
      const from = map.getPixelOrigin().add(this.origin);
      const view = { scale: 2 ** map.getZoom(), x: from.x, y: from.y, width: this.size.x, height: this.size.y };
      this.view = view;
      this.paint(view);
      this.lastMs = performance.now() - began;
    },

    fit() {
      const dots = window.devicePixelRatio || 1;
      const wide = Math.round(this.size.x * dots);
      const high = Math.round(this.size.y * dots);
      if (this.canvas.width !== wide || this.canvas.height !== high) {
        this.canvas.width = wide;
        this.canvas.height = high;
        this.canvas.style.width = `${this.size.x}px`;
        this.canvas.style.height = `${this.size.y}px`;
      }
      this.ctx.setTransform(dots, 0, 0, dots, 0, 0);
      L.DomUtil.setTransform(this.canvas, this.origin, 1);
    },

    paint(view) {
      const { ctx, app } = this;
      ctx.clearRect(0, 0, view.width, view.height);
      const seen = this.blocksIn(view);
      this.rings = [];
      for (const block of seen) this.ask(block, view, seen.length);
      for (const block of seen) this.paintOutline(block, view);
      const near = seen.filter((block) => this.isNear(block, view));
      for (const block of near) this.paintRows(block, view);
      this.paintNear(near, view);
      this.paintFar(seen.filter((block) => !this.isNear(block, view)), view);
      if (app.selected) this.paintSelected(app.selected, view);
    },

    blocksIn(view) {
      const west = view.x / view.scale;
      const north = view.y / view.scale;
      const east = (view.x + view.width) / view.scale;
      const south = (view.y + view.height) / view.scale;
      return this.app.list.filter(({ box }) => box[0] < east && box[2] > west && box[1] < south && box[3] > north);
    },

    pitchPx(block, view = this.view) { return block.shape ? block.shape.pitch * view.scale : 0; },

    isNear(block, view) { return Boolean(block.shape) && this.pitchPx(block, view) >= NEAR_PITCH_PX; },

    // Shapes are asked for as blocks come into view and are large enough for an outline to say something.
    ask(block, view, inView) {
      const high = Math.max(block.box[2] - block.box[0], block.box[3] - block.box[1]) * view.scale;
      if (!block.shape && high >= OUTLINE_PX && (!this.app.source.isLive || inView <= OUTLINES_AT_MOST || high >= 140)) this.app.wantShape(block);
      if (this.isNear(block, view)) this.app.wantState(block);
    },

    paintOutline(block, view) {
      if (!block.shape || !block.shape.rings.length) return;
      const { ctx, app } = this;
      ctx.beginPath();
      for (const xy of block.shape.rings) {
        for (let i = 0; i < xy.length; i += 2) {
          ctx[i ? "lineTo" : "moveTo"](xy[i] * view.scale - view.x, xy[i + 1] * view.scale - view.y);
        }
        ctx.closePath();
      }
      ctx.fillStyle = app.signs.palette.sheet;
      ctx.fill("evenodd");
      ctx.strokeStyle = app.signs.palette.closed;
      ctx.lineWidth = 1.2;
      ctx.lineCap = "round";
      ctx.setLineDash(block.facts.closed ? [0.1, 5] : []);
      if (block.facts.closed) ctx.lineWidth = 2.6;
      ctx.stroke();
      ctx.setLineDash([]);
    },

    paintRows(block, view) {
      const pitch = this.pitchPx(block, view);
      const weight = OM.weightAt(pitch);
      const closed = Boolean(block.facts.closed);
      if (!block.state) { this.paintUnknown(block, view); return; }
      const byKey = this.stretchesIn(block, view, closed);
      for (const key of ["closed", "to_prune", "pruned", "overlap", "again"]) {
        const { alpha, share } = this.stance(key);
        this.ctx.globalAlpha = alpha;
        OM.strokeStretches(this.ctx, this.app.signs, key, byKey[key], view, weight * share);
      }
      this.ctx.globalAlpha = 1;
    },

    // What lies on top of all rows: positions, checks, numbers, tags. A number gives way to a tag.
    paintNear(blocks, view) {
      const taken = new Taken();
      const tags = blocks.map((block) => this.tagOf(block, view));
      for (const { box } of tags) taken.take(box);
      for (const block of blocks) {
        const pitch = this.pitchPx(block, view);
        if (block.state && pitch >= 15) this.paintPlaces(block, view, OM.weightAt(pitch));
        this.paintNumbers(block, view, pitch, taken);
        if (this.app.layer !== "remaining") this.paintChecks(block, view, pitch);
      }
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

    stretchesIn(block, view, closed) {
      const byKey = { closed: [], to_prune: [], pruned: [], overlap: [], again: [] };
      const west = view.x / view.scale;
      const north = view.y / view.scale;
      const east = (view.x + view.width) / view.scale;
      const south = (view.y + view.height) / view.scale;
      for (const row of block.shape.rows) {
        const { box } = row;
        if (box[0] > east || box[2] < west || box[1] > south || box[3] < north) continue;
        for (const { kind, xy } of this.app.stretchesOf(block, row)) {
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

    paintChecks(block, view, pitch) {
      if (!block.state) return;
      const { buds, palette } = this.app.signs;
      const grown = this.app.layer === "quality" ? 1.25 : 1;
      const size = Math.max(9, Math.min(24, pitch * 0.95)) * grown;
      for (const check of block.state.checks) {
        const [, number, position, verdict, , , , drawn] = check;
        const row = block.shape.byNumber.get(number);
        const at = row && this.pixelOf(row, position, view);
        if (at && buds[verdict]) OM.drawGlyph(this.ctx, buds[verdict], at.x, at.y, drawn ? size : size * 0.68, palette.sheet);
      }
    },

    tagOf(block, view) {
      const { facts } = block;
      const words = `${facts.code}  ${this.figure(facts)}`;
      const x = ((block.box[0] + block.box[2]) / 2) * view.scale - view.x;
      const y = block.box[1] * view.scale - view.y - 11;
      const half = OM.widthOf(this.ctx, words, 14, true) / 2 + 3;
      return { words, x, y, box: [x - half, y - 10, x + half, y + 10] };
    },

    figure(facts) {
      if (this.app.layer === "remaining") return `${OM.count(facts.trees - facts.pruned)} left`;
      if (this.app.layer !== "quality") return OM.percent(facts.pruned, facts.trees);
      return facts.checked ? `${facts.faulty} of ${facts.checked} faulty` : this.app.signs.words.nothing_checked;
    },

    paintFar(blocks, view) {
      const taken = new Taken();
      const placed = blocks.map((block) => this.place(block, view)).sort((a, b) => b.block.facts.trees - a.block.facts.trees);
      for (const { block, x, y, radius } of placed) {
        OM.drawRing(this.ctx, this.app.signs, x, y, radius, this.ringOf(block.facts, radius));
        const reach = radius * 1.2 + 2;
        taken.take([x - reach, y - reach, x + reach, y + reach]);
        this.rings.push({ block, x, y, radius });
      }
      for (const it of placed) if (it.spot) this.writeLabel(it, it.spot, taken);
      for (const it of placed) if (!it.spot) this.label(it, taken);
    },

    // Ring and label stand in the block together, side by side or one over the other, where there is room.
    place(block, view) {
      const { facts, box } = block;
      const wide = (box[2] - box[0]) * view.scale;
      const high = (box[3] - box[1]) * view.scale;
      const grown = 10 + 20 * Math.sqrt(facts.trees / this.app.mostTrees);
      const words = this.wordsOf(facts, 14);
      const beside = Math.min((0.8 * wide - 6 - words.wide) / 2.4, (0.62 * high) / 2.4);
      const over = Math.min((0.74 * high - 4 - words.high) / 2.4, (0.62 * wide) / 2.4, words.wide > 0.84 * wide ? 0 : Infinity);
      const fits = Math.min(grown, Math.max(beside, over));
      const at = { block, x: block.at.x * view.scale - view.x, y: block.at.y * view.scale - view.y };
      if (fits < Math.max(9, 0.4 * grown)) {
        const radius = Math.max(4, Math.min(grown, 0.38 * Math.min(wide, high)));
        return { ...at, radius, ...this.wordsOf(facts, radius) };
      }
      const it = { ...at, radius: fits, ...words };
      if (beside >= over) {
        it.x -= (6 + it.wide) / 2;
        it.spot = [it.x + fits * 1.2 + 6, it.y - it.high / 2];
      } else {
        it.y -= (4 + it.high) / 2;
        it.spot = [it.x - it.wide / 2, it.y + fits * 1.2 + 4];
      }
      return it;
    },

    wordsOf(facts, radius) {
      const isSmall = radius < 11;
      const size = isSmall ? 12 : 14;
      const lines = isSmall ? [facts.code] : [facts.code, this.figure(facts)];
      const wide = Math.max(...lines.map((words, i) => OM.widthOf(this.ctx, words, i ? 13 : size, !i)));
      return { lines, size, wide, high: isSmall ? 13 : 32 };
    },

    ringOf(facts, radius) {
      const { piths } = this.app.signs;
      const rest = facts.closed ? "closed" : "to_prune";
      const pith = radius >= 7 ? piths[facts.verdict] : null;
      const pithPx = Math.max(9, radius * 1.15);
      const share = facts.trees ? facts.pruned / facts.trees : 0;
      if (this.app.layer === "remaining") return { share: 1 - share, arc: "to_prune", rest: facts.closed ? "closed" : "to_prune", pith: null, pithPx };
      if (this.app.layer === "quality") {
        const faulty = facts.checked ? facts.faulty / facts.checked : 0;
        return { share: faulty, arc: "again", rest: facts.checked ? "pruned" : "closed", isBare: !facts.checked, pith: facts.checked ? pith : null, pithPx };
      }
      return { share, arc: "pruned", rest, pith, pithPx };
    },

    label(it, taken) {
      const { block, x, y, radius, wide, high } = it;
      const gap = radius * 1.2 + 5;
      const spots = [[x + gap, y - high / 2], [x - gap - wide, y - high / 2], [x - wide / 2, y + gap], [x - wide / 2, y - gap - high]];
      const isChosen = this.app.selected && this.app.selected.block === block;
      const spot = spots.find(([left, top]) => taken.isFree([left, top, left + wide, top + high])) || (isChosen && spots[0]);
      if (spot) this.writeLabel(it, spot, taken);
    },

    writeLabel({ lines, size, wide, high }, [left, top], taken) {
      taken.take([left, top, left + wide, top + high]);
      const style = { bold: true, size, align: "center" };
      OM.write(this.ctx, this.app.signs, lines[0], left + wide / 2, top + size / 2 + 1, style);
      if (lines[1]) OM.write(this.ctx, this.app.signs, lines[1], left + wide / 2, top + 25, { size: 13, align: "center" });
    },

    paintSelected({ block, row }, view) {
      const { ctx, app } = this;
      ctx.strokeStyle = app.signs.palette.ink;
      ctx.lineWidth = 2.4;
      ctx.lineCap = "round";
      if (row && this.isNear(block, view)) {
        const weight = OM.weightAt(this.pitchPx(block, view));
        ctx.lineWidth = 1.6;
        for (const side of [-1, 1]) {
          ctx.beginPath();
          for (const { xy } of row.parts) {
            const { angle } = OM.pointAt({ xy, along: [0, 1] }, 0);
            const off = side * (weight * 0.9 + 3);
            for (let i = 0; i < xy.length; i += 2) {
              const x = xy[i] * view.scale - view.x - Math.sin(angle) * off;
              const y = xy[i + 1] * view.scale - view.y + Math.cos(angle) * off;
              ctx[i ? "lineTo" : "moveTo"](x, y);
            }
          }
          ctx.stroke();
        }
        return;
      }
      const ring = this.rings.find((it) => it.block === block);
      if (ring) {
        ctx.beginPath();
        ctx.arc(ring.x, ring.y, ring.radius * 1.2 + 5, 0, 2 * Math.PI);
        ctx.stroke();
      } else if (block.shape) this.strokeRings(block, view);
    },

    strokeRings(block, view) {
      const { ctx } = this;
      ctx.beginPath();
      for (const xy of block.shape.rings) {
        for (let i = 0; i < xy.length; i += 2) {
          ctx[i ? "lineTo" : "moveTo"](xy[i] * view.scale - view.x, xy[i + 1] * view.scale - view.y);
        }
        ctx.closePath();
      }
      ctx.stroke();
    },

    /** What lies under a point of the map: {block, row?}. A row only where rows are far enough apart to be meant. */
    under(latlng) {
      const x = OM.worldX(latlng.lng);
      const y = OM.worldY(latlng.lat);
      const { view } = this;
      const px = x * view.scale - view.x;
      const py = y * view.scale - view.y;
      const ring = this.rings.map((it) => ({ it, off: Math.hypot(it.x - px, it.y - py) - it.radius * 1.2 }))
        .sort((a, b) => a.off - b.off)[0];
      if (ring && ring.off <= 8) return { block: ring.it.block };
      return this.rowUnder(x, y, view) || (ring && ring.off <= 24 ? { block: ring.it.block } : null);
    },

    rowUnder(x, y, view) {
      let best = null;
      for (const block of this.blocksIn(view)) {
        if (!block.shape) continue;
        const { pitch } = block.shape;
        if (x < block.box[0] - pitch || x > block.box[2] + pitch || y < block.box[1] - pitch || y > block.box[3] + pitch) continue;
        const inside = OM.isInside(block.shape, x, y);
        const nearest = OM.nearestRow(block.shape, x, y);
        const isHit = inside || (nearest && nearest.distance <= pitch * 0.75);
        if (isHit && (!best || (nearest && nearest.distance < best.distance))) {
          best = { block, row: nearest && nearest.row, distance: nearest ? nearest.distance : Infinity };
        }
      }
      if (!best) return null;
      const isMeant = best.row && this.pitchPx(best.block, view) >= TAP_PITCH_PX && best.distance <= best.block.shape.pitch;
      return isMeant ? { block: best.block, row: best.row } : { block: best.block };
    },
  });
})();
