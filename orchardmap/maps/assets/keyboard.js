// The map by keyboard and for those who listen: a cross in the middle picks, and one sentence says what is picked.
(() => {
  "use strict";
  const OM = (window.orchardMap = window.orchardMap || {});
  const CROSS_PX = 11;

  /** One sentence on a block, a row or a weak area. */
  OM.pickedWords = (app, { block, row, area }) => {
    const { facts } = block;
    const found = OM.areaOf(block, area);
    if (found) return OM.words("picked_area", { code: facts.code, words: found.odds_words || "" });
    if (!row) return OM.words("picked_block", { code: facts.code, name: facts.name || "", share: OM.percent(facts.pruned, facts.trees), left: OM.counted("trees_left", facts.trees - facts.pruned) });
    if (!app.stateOf(block)) return OM.words("picked_row_bare", { code: facts.code, row: row.number });
    const { trees, pruned } = OM.rowFigures(block, row);
    return OM.words("picked_row", { code: facts.code, row: row.number, share: OM.percent(pruned, trees), left: OM.counted("trees_left", trees - pruned) });
  };

  /** Say it to those who listen, once. */
  OM.announce = (app, words) => {
    const part = app.part("orchard-said");
    if (part.textContent !== words) part.textContent = words;
  };

  const neighbour = (list, at, step) => list[(at + step + list.length) % list.length];

  // The next block by code; with a row picked, the next row of its block.
  function step(app, by) {
    const picked = app.selected;
    if (picked && picked.row && picked.block.shape) {
      const rows = [...picked.block.shape.rows].sort((a, b) => a.number - b.number);
      app.goToRow(picked.block, neighbour(rows, rows.findIndex(({ number }) => number === picked.row.number), by));
      return;
    }
    const blocks = app.list.filter((block) => app.look.has(block)).sort(OM.byCode);
    if (!blocks.length) return;
    const at = picked ? blocks.findIndex(({ id }) => id === picked.block.id) : by > 0 ? -1 : blocks.length;
    app.goTo(neighbour(blocks, at, by));
  }

  const KEYS = {
    Enter: (app) => app.tap(app.map.getCenter()),
    " ": (app) => app.tap(app.map.getCenter()),
    PageDown: (app) => step(app, 1),
    PageUp: (app) => step(app, -1),
    Home: (app) => app.showAll(),
    "+": (app) => app.glide.zoomBy(1),
    "=": (app) => app.glide.zoomBy(1),
    "-": (app) => app.glide.zoomBy(-1),
    _: (app) => app.glide.zoomBy(-1),
  };

  /** Leaflet drops what is asked of it while it still glides: zooming by steps, and what is to be shown last, are made good when it stands. */
  OM.Glide = class {
    constructor(map) {
      this.map = map;
      this.isOn = false;
      this.steps = 0;
      this.next = null;
      map.on("zoomstart", () => { this.isOn = true; });
      map.on("zoomend", () => queueMicrotask(() => this.end())); // "moveend" is still to be heard of this glide
    }

    end() {
      const { steps, next } = this;
      this.isOn = false;
      this.steps = 0;
      this.next = null;
      if (!next) return void (steps && this.zoomBy(steps));
      next();
      // steps that were asked for after it go on from what it shows; Leaflet begins to glide there a frame later
      if (steps) requestAnimationFrame(() => requestAnimationFrame(() => this.zoomBy(steps)));
    }

    zoomBy(by) {
      const { map } = this;
      const to = Math.min(map.getMaxZoom(), Math.max(map.getMinZoom(), map.getZoom() + by));
      if (this.isOn) this.steps += by;
      else if (to !== map.getZoom()) {
        this.isOn = true; // Leaflet says so a frame later
        map.setZoom(to);
      }
    }

    /** Show something now, or when the map stands; only the last of several. */
    then(show) {
      if (!this.isOn) return show();
      this.next = show;
      this.steps = 0; // what is shown last says how near, too
    }
  };

  /** Listen to the keys of the map; arrows are Leaflet's own, and its plus and minus are not heard. */
  OM.listenToKeys = (app) => {
    const box = app.map.getContainer();
    box.setAttribute("aria-describedby", "orchard-keys");
    app.part("orchard-keys").textContent = OM.words("keys");
    box.addEventListener("keydown", (event) => {
      const act = event.target === box && !event.ctrlKey && !event.altKey && !event.metaKey && KEYS[event.key];
      if (!act) return;
      event.preventDefault();
      event.stopImmediatePropagation();
      act(app);
    }, { capture: true });
    const follow = () => { app.isByKey = box.matches(":focus-visible"); app.canvasLayer.schedule(); };
    box.addEventListener("focus", follow);
    box.addEventListener("blur", () => { app.isByKey = false; app.canvasLayer.schedule(); });
    box.addEventListener("keyup", follow);
    app.map.on("moveend", () => {
      OM.fillTable(app);
      if (app.isByKey && !app.selected) OM.announce(app, OM.words("in_view", { n: OM.count(app.list.filter((block) => app.extent.holds(block)).length), all: OM.count(app.list.length) }));
    });
  };

  OM.OrchardLayer.include({
    /** What Enter would pick stands under the cross, while the map is used by keyboard. */
    paintCross(view) {
      if (!this.app.isByKey) return;
      const { ctx, app } = this;
      const [x, y] = [view.width / 2, view.height / 2];
      for (const [colour, width] of [[app.signs.palette.sheet, 5], [app.signs.palette.ink, 2]]) {
        ctx.beginPath();
        for (const [dx, dy] of [[1, 0], [-1, 0], [0, 1], [0, -1]]) { ctx.moveTo(x + 4 * dx, y + 4 * dy); ctx.lineTo(x + CROSS_PX * dx, y + CROSS_PX * dy); }
        ctx.strokeStyle = colour;
        ctx.lineWidth = width;
        ctx.lineCap = "butt";
        ctx.stroke();
      }
    },

    /** What the table points at, before it is picked: a broken edge. */
    paintPointed(view) {
      const { pointed } = this.app;
      if (!pointed) return;
      this.ctx.setLineDash([5, 4]);
      this.paintSelected(pointed, view);
      this.ctx.setLineDash([]);
    },
  });
})();
