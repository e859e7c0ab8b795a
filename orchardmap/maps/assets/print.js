// The map on paper: the same ground as on the screen, drawn anew for the sheet, with legend, scale, north and what is shown in words.
(() => {
  "use strict";
  const OM = (window.orchardMap = window.orchardMap || {});
  const { make } = OM;
  const SHEETS_MM = { A4: [297, 210], A3: [420, 297] };
  const EDGE_MM = 10;
  const M_PER_PX = 0.0254 / 96;
  const DOTS = 3;
  const WAIT_MS = 10000;

  OM.Paper = class {
    constructor(app) {
      this.app = app;
      this.sheet = "A4";
      this.words = make("p", { class: "paper-words" });
      app.part("orchard-head").append(this.words);
      window.addEventListener("beforeprint", () => this.lay());
      window.addEventListener("afterprint", () => this.take());
      window.addEventListener("keydown", (event) => this.hear(event), { capture: true });
    }

    get isLaid() { return Boolean(this.was); }

    // A browser does not wait at "beforeprint" for what is still on its way. Its keys can be taken over; where its menu is used, the sheet says what it lacks.
    hear(event) {
      const isPrint = (event.ctrlKey || event.metaKey) && !event.altKey && !event.shiftKey && event.key.toLowerCase() === "p";
      const isTable = this.app.panels && !this.app.panels.table.panel.hidden;
      if (!isPrint || isTable || window.top !== window) return;
      event.preventDefault();
      if (!this.isLaid) this.print(this.sheet);
    }

    /** Print on a sheet: not before everything that the sheet shows is here. */
    async print(sheet) {
      this.sheet = sheet;
      this.lay();
      try {
        await this.ready();
        window.print();
      } finally {
        this.take(); // where no afterprint comes
      }
    }

    async ready() {
      const { app } = this;
      const until = Date.now() + WAIT_MS;
      do await new Promise((go) => { setTimeout(go, 100); }); while (!(this.isHere(({ misses }) => misses) && (!app.tileLayer || !app.tileLayer.isLoading())) && Date.now() < until);
      app.canvasLayer.redraw();
      this.keepLegend();
      this.say();
    }

    /** Whether all that the sheet shows is here; blocks that need not be waited for are left out. */
    isHere(isLeftOut = () => false) {
      const { canvasLayer: layer } = this.app;
      return layer.blocksIn(layer.view).every((block) => isLeftOut(block) || (!block.shapeAsked && (!layer.isNear(block) || this.app.stateOf(block))));
    }

    lay() {
      const { app } = this;
      // the table, where it is open, is printed instead
      if (this.isLaid || !app.panels || !app.panels.table.panel.hidden || !app.extent) return;
      const size = app.map.getSize();
      this.was = { middle: app.map.getCenter(), zoom: app.map.getZoom(), palette: app.signs.palette, isMoved: app.extent.isMoved, minZoom: app.map.getMinZoom() };
      const bounds = app.extent.isMoved ? app.map.getBounds() : app.extent.bounds() || app.map.getBounds();
      const isUpright = size.y > size.x;
      const [long, short] = SHEETS_MM[this.sheet].map((mm) => mm - 2 * EDGE_MM);
      this.setPage(isUpright);
      const root = this.app.page.documentElement;
      root.classList.add("on-paper");
      root.classList.toggle("upright", isUpright);
      root.style.setProperty("--sheet-wide", `${isUpright ? short : long}mm`);
      root.style.setProperty("--sheet-high", `${(isUpright ? long : short) - 1}mm`);
      app.signs.palette = { ...app.signs.palette, paper: "#FFFFFF", sheet: "#FFFFFF" };
      app.canvasLayer.dots = DOTS;
      app.extent.isHeld = true;
      app.map.setMaxBounds(null);
      app.map.setMinZoom(0);
      this.say(); // its lines take room from the map
      app.map.invalidateSize({ pan: false, animate: false });
      app.map.fitBounds(bounds, { animate: false, padding: app.extent.isMoved ? [0, 0] : [10, 10] });
      app.canvasLayer.redraw();
      this.keepLegend();
      this.say();
    }

    /** Of the legend, only what the sheet can show: rows are drawn from near, rings from far. */
    keepLegend() {
      const { hasNear, rings } = this.app.canvasLayer;
      for (const part of this.app.part("orchard-legend").querySelectorAll("[data-seen]")) {
        part.classList.toggle("off-paper", part.dataset.seen === "near" ? !hasNear : !rings.length);
      }
    }

    take() {
      if (!this.isLaid) return;
      const { app, was } = this;
      this.was = null;
      app.page.documentElement.classList.remove("on-paper", "upright");
      app.signs.palette = was.palette;
      app.canvasLayer.dots = 0;
      app.map.invalidateSize({ pan: false, animate: false });
      app.extent.isHeld = false;
      app.map.setMinZoom(was.minZoom);
      app.map.setView(was.middle, was.zoom, { animate: false });
      app.extent.limit();
      app.extent.isMoved = was.isMoved;
      app.canvasLayer.redraw();
    }

    // No style may be written into the page; a rule may be put into a sheet that is there.
    setPage(isUpright) {
      if (!this.rules) {
        this.rules = new CSSStyleSheet();
        this.app.page.adoptedStyleSheets = [...this.app.page.adoptedStyleSheets, this.rules];
      }
      this.rules.replaceSync(`@page { size: ${this.sheet} ${isUpright ? "portrait" : "landscape"}; margin: ${EDGE_MM}mm; }`);
    }

    /** What is shown, in words: day, layer, what is looked at, and the scale of the sheet. */
    say() {
      const { app } = this;
      const middle = app.map.getCenter();
      const ground = (40075016.686 * Math.cos((middle.lat * Math.PI) / 180)) / (256 * 2 ** app.map.getZoom());
      const scale = Number((ground / M_PER_PX).toPrecision(2));
      const words = [
        OM.dayWords(app.overview.day), OM.legendWords(app.signs.views[app.layer].words), app.look.words(),
        OM.words("scale", { n: OM.count(scale), sheet: this.sheet }), this.isHere() ? "" : OM.words("not_all_here"), app.credit || "",
      ];
      this.words.textContent = words.filter(Boolean).join(" · ");
    }
  };

  OM.SHEETS = Object.keys(SHEETS_MM);
})();
