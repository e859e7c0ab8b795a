// One canvas for the whole orchard: blocks as rings from far, rows from near. Cost goes by what is in view.
(() => {
  "use strict";
  const OM = (window.orchardMap = window.orchardMap || {});
  const MARGIN = (OM.MARGIN = 0.2);
  const NEAR_PITCH_PX = 4;
  const USUAL_PITCH_PX = 3.6;
  const OUTLINE_PX = 34;
  const OUTLINES_AT_MOST = 120;
  const TAP_PITCH_PX = 24;
  const OVER_THE_MAP = ".leaflet-control, #orchard-zoom, #orchard-tools > *, #orchard-over > *, #orchard-side > section, #orchard-north";

  let number = null;
  OM.count = (value) => (number ||= new Intl.NumberFormat(OM.locale(), { useGrouping: "always" })).format(value);
  OM.fixed = (value, digits) => new Intl.NumberFormat(OM.locale(), { minimumFractionDigits: digits, maximumFractionDigits: digits }).format(value);
  /** A share in words: never 100 % before the last tree, never 0 % after the first. */
  OM.percent = (part, whole) => {
    if (!whole || !part) return "0\u00a0%";
    if (part >= whole) return "100\u00a0%";
    const share = Math.floor((100 * part) / whole);
    return share < 1 ? "<\u00a01\u00a0%" : `${share}\u00a0%`;
  };

  OM.OrchardLayer = L.Layer.extend({
    initialize(app) {
      this.app = app;
      this.plans = new Map();
    },

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
      view.seen = [pad.x, pad.y, pad.x + size.x, pad.y + size.y];
      view.covers = this.coversOf(map, pad);
      this.view = view;
      this.paint(view);
      this.lastMs = performance.now() - began;
      OM.offerWay(this.app);
      OM.hintAtChecks(this.app, this.hasNear);
    },

    /** What lies over the map (its scale, its buttons, a card), in pixels of the canvas. */
    coversOf(map, pad) {
      const at = map.getContainer().getBoundingClientRect();
      const main = map.getContainer().closest("#orchard-main") || map.getContainer();
      return [...main.querySelectorAll(OVER_THE_MAP)].map((one) => one.getBoundingClientRect())
        .filter((box) => box.width > 0)
        .map((box) => [box.left - at.left + pad.x, box.top - at.top + pad.y, box.right - at.left + pad.x, box.bottom - at.top + pad.y]);
    },

    fit() {
      const dots = this.dots || window.devicePixelRatio || 1;
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
      const seen = (this.seenBlocks = this.blocksIn(view));
      this.rings = [];
      this.usualPitch = this.usualPitchOf(seen);
      for (const block of seen) this.ask(block, view, seen.length);
      for (const block of seen) this.paintOutline(block, view);
      const ground = this.groundIn(view);
      this.paintGround(ground, view);
      const near = seen.filter((block) => this.isNear(block, view));
      this.hasNear = near.length > 0;
      for (const block of near) this.paintRows(block, view);
      this.paintOverhead(ground, view);
      const far = this.paintRings(seen.filter((block) => !this.isNear(block, view)), view);
      this.label(near, far, ground, view);
      if (app.selected) this.paintSelected(app.selected, view);
      this.paintPointed(view);
      this.paintDraft(view);
      this.paintCross(view);
    },

    // One order for all words, so that the same view always says the same: codes of blocks, weak areas, numbers of rows, names of the ground.
    label(near, far, ground, view) {
      const taken = new OM.Taken(view);
      this.labels = [];
      this.toWrite = [];
      for (const it of far) taken.takeRing({ block: it.block, x: it.x, y: it.y, reach: OM.reachOf(it.radius, it.ring) });
      for (const it of far) this.paintSquare(it, taken);
      this.nameBlocks([...near.map((block) => this.tagOf(block, view)), ...far], taken);
      this.keepPoints(ground, view, taken);
      this.paintNear(near, view, taken);
      this.nameGround(ground, view, taken);
      for (const write of this.toWrite) write();
    },

    // Words come last, over the signs of what they name.
    write(words, x, y, looks) { this.toWrite.push(() => OM.write(this.ctx, this.app.signs, words, x, y, looks)); },

    /** Write words in the middle of a box that is free, and keep it for them. */
    put(words, box, taken, { size, bold = false, italic = false, isOnRows = false }) {
      taken.take(box);
      this.labels.push({ words, box });
      if (isOnRows) this.toWrite.push(() => OM.drawPlate(this.ctx, this.app.signs, box));
      this.write(words, (box[0] + box[2]) / 2, (box[1] + box[3]) / 2, { size, bold, italic, align: "center" });
    },

    blocksIn(view) {
      const west = view.x / view.scale;
      const north = view.y / view.scale;
      const east = (view.x + view.width) / view.scale;
      const south = (view.y + view.height) / view.scale;
      return this.app.list.filter(({ box }) => box[0] < east && box[2] > west && box[1] < south && box[3] > north);
    },

    pitchPx(block, view = this.view) { return block.shape ? block.shape.pitch * view.scale : 0; },

    // Rows come with the view as a whole, not where one block's rows are wider apart than its neighbours'; the chosen block may lead.
    isNear(block, view = this.view) {
      const isLeading = this.usualPitch * view.scale >= USUAL_PITCH_PX || (this.app.selected && this.app.selected.block === block);
      return Boolean(block.shape && isLeading) && this.pitchPx(block, view) >= NEAR_PITCH_PX;
    },

    usualPitchOf(blocks) {
      const known = blocks.filter(({ shape }) => shape).map(({ shape }) => shape.pitch).sort((a, b) => a - b);
      return known.length ? known[known.length >> 1] : 0;
    },

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
      ctx.globalAlpha = app.look.alphaOf(block);
      ctx.fillStyle = app.signs.palette.sheet;
      ctx.fill("evenodd");
      ctx.strokeStyle = app.signs.palette.closed;
      ctx.lineWidth = 1.2;
      ctx.lineCap = "round";
      ctx.setLineDash(block.facts.closed ? [0.1, 5] : []);
      if (block.facts.closed) ctx.lineWidth = 2.6;
      ctx.stroke();
      ctx.setLineDash([]);
      ctx.globalAlpha = 1;
    },

    paintSelected({ block, row, area }, view) {
      const { ctx, app } = this;
      // a chosen weak area has a heavier edge, and its block none
      if (OM.areaOf(block, area) && this.isNear(block, view)) return;
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

    /** What lies under a point of the map: {block, row?, area?}. A row only where rows are far enough apart to be meant, else a weak area. */
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
      if (isMeant) return { block: best.block, row: best.row };
      const area = this.areaUnder(best.block, x, y);
      return area ? { block: best.block, area: area.id } : { block: best.block };
    },
  });
})();
