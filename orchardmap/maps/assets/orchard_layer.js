// Brings map, data, layer and panels together, and keeps them up to date.
(() => {
  "use strict";
  const OM = (window.orchardMap = window.orchardMap || {});
  const TRIES = 3;
  const TOLD_MS = 6000;

  /** The runs of one row in a block's state. */
  OM.runsOf = (block, number) => (block.runs && block.runs.get(number)) || [];

  class App {
    constructor(map, page) {
      const read = (id) => { const tag = page.getElementById(id); return tag ? JSON.parse(tag.textContent) : null; };
      this.map = map;
      this.glide = new OM.Glide(map);
      this.page = page;
      this.config = read("orchard-config");
      this.signs = read("orchard-signs");
      this.source = this.config.source === "inside" ? OM.insideSource(this.config, read("orchard-data")) : OM.servedSource(this.config);
      this.layer = this.config.layer;
      this.day = this.config.day;
      this.list = [];
      this.byId = new Map();
      this.selected = null;
      this.era = 0;
      this.ground = [];
      // what a page says while the map is still reading its farm waits until there is something to look at
      this.opened = new Promise((tell) => { this.isOpen = tell; });
      this.hidden = new Set((new URLSearchParams(location.search).get("hide") || "").split(",").filter(Boolean));
    }

    part(id) { return this.page.getElementById(id); }

    say(words) { this.part("orchard-status").textContent = words; }

    /** Say something that is over soon: what a button did. */
    tell(words) {
      this.say(words);
      setTimeout(() => { if (this.part("orchard-status").textContent === words) this.say(""); }, TOLD_MS);
    }

    /** Something of what is shown changed: the address follows. */
    changed() { if (this.address) this.address.changed(); }

    async open() {
      this.say(OM.words("loading"));
      try {
        const farm = await this.source.farm();
        this.farm = farm;
        if (!this.day) this.day = farm.today || "";
        const name = farm.name || this.config.farm_name || OM.words("orchard_map");
        this.part("orchard").classList.toggle("embedded", Boolean(this.config.embedded));
        OM.buildHead(this, this.part("orchard-head"));
        OM.buildZoom(this);
        OM.buildChecksChoice(this);
        this.look = new OM.Look(this);
        this.look.read(new URLSearchParams(location.search));
        this.title.textContent = name;
        this.page.title = OM.words("page_title", { farm: name });
        this.canvasLayer = new OM.OrchardLayer(this).addTo(this.map);
        this.map.on("click", (event) => this.tap(event.latlng));
        this.extent = new OM.Extent(this);
        OM.listenToKeys(this);
        await Promise.all([this.load(), this.loadFeatures()]);
        this.look.tell();
        this.showLayer(this.layer);
        this.address = new OM.Address(this);
        OM.buildTools(this);
        this.paper = new OM.Paper(this);
        this.address.open();
        // not before there is a place to show: the map knows only the whole world till then
        this.tiles();
        L.control.scale({ imperial: false, maxWidth: 160 }).addTo(this.map);
        this.extent.follow(this.part("orchard-main"));
        this.isOpen();
        this.part("orchard").classList.remove("loading");
        if (this.part("orchard-status").textContent === OM.words("loading")) this.say("");
        if (this.source.isLive) OM.follow(this);
      } catch (problem) {
        this.say(problem.message);
      }
    }

    tiles() {
      const { tile_url: address, tile_credit: credit } = this.config;
      if (!address) return;
      const words = document.createElement("span");
      words.textContent = this.credit = credit;
      L.control.attribution({ prefix: false }).addAttribution(words.innerHTML).addTo(this.map);
      this.tileLayer = L.tileLayer(address, { maxZoom: 22, opacity: 0.55 }).addTo(this.map);
    }

    // A farm without its tracks and gates is still the farm: what went wrong is said, and the map goes on.
    async loadFeatures() {
      try {
        this.ground = OM.featuresOf(await this.source.features());
        OM.buildGroundChoice(this);
        this.canvasLayer.schedule();
      } catch (problem) {
        this.say(problem.message);
      }
    }

    async load() {
      const asked = ++this.era;
      const overview = await this.source.overview(this.day);
      if (asked !== this.era) return;
      this.take(overview);
    }

    take(overview) {
      this.overview = overview;
      this.cursor = overview.cursor;
      this.epoch = overview.epoch;
      const kept = new Map();
      for (const facts of overview.blocks) kept.set(facts.id, this.blockOf(facts, this.byId.get(facts.id)));
      this.byId = kept;
      this.list = [...kept.values()];
      this.gap = OM.narrowestGap(this.list);
      const bounds = this.extent.bounds();
      if (bounds && this.limits && !bounds.equals(this.limits)) this.extent.limit();
      this.limits = bounds;
      if (this.selected) this.reselect();
      this.refresh();
    }

    blockOf(facts, known) {
      const block = known || { id: facts.id, marks: 0 };
      block.facts = facts;
      const [west, south, east, north] = facts.bbox;
      block.box = [OM.worldX(west), OM.worldY(north), OM.worldX(east), OM.worldY(south)];
      block.at = { x: OM.worldX(facts.lonlat[0]), y: OM.worldY(facts.lonlat[1]) };
      if (block.shape && block.shape.version !== facts.shape_version) { block.shape = null; block.failed = false; }
      return block;
    }

    reselect() {
      const block = this.byId.get(this.selected.block.id);
      if (!block) { this.selected = null; return; }
      const { row, area } = this.selected;
      this.selected = { block, area, row: row && (block.shape ? block.shape.byNumber.get(row.number) : row) };
    }

    refresh() {
      OM.showFigures(this);
      OM.fillTable(this);
      OM.showCard(this);
      if (this.dayInput) {
        this.dayInput.value = this.day;
        this.dayInput.max = this.farm.today || "";
        this.nextDay.disabled = Boolean(this.farm.today) && this.day >= this.farm.today;
      }
      if (!this.list.length) this.say(OM.words("no_blocks"));
      this.canvasLayer.schedule();
    }

    async wantShape(block) {
      if (block.shape || block.shapeAsked || block.failed) return;
      block.shapeAsked = true;
      try {
        block.shape = OM.shapeOf(await this.source.shape(block.facts));
        block.box = block.shape.box[0] < Infinity ? block.shape.box : block.box;
        block.cut = new Map();
        this.arrive(block);
        this.canvasLayer.schedule();
      } catch (problem) {
        block.failed = true;
        this.missed(block, problem);
      } finally {
        block.shapeAsked = false;
      }
    }

    async wantState(block) {
      const key = `${this.day} ${block.marks}`;
      if (block.stateKey === key || block.stateAsked === key) return;
      block.stateAsked = key;
      try {
        const state = await this.source.state(block.facts, this.day);
        if (`${this.day} ${block.marks}` !== key) { block.stateAsked = ""; this.canvasLayer.schedule(); return; }
        this.takeState(block, state, key);
      } catch (problem) {
        this.missed(block, problem);
      }
    }

    // Said in words; asked for again when the service answers, but not for ever.
    missed(block, problem) {
      block.misses = (block.misses || 0) + 1;
      this.isSilent = block.misses <= TRIES;
      this.say(`${block.facts.code}: ${problem.message}`);
    }

    askAgain() {
      this.isSilent = false;
      this.say("");
      for (const block of this.list) {
        block.failed = false;
        if (block.stateKey !== block.stateAsked) block.stateAsked = "";
      }
      this.canvasLayer.schedule();
    }

    takeState(block, state, key) {
      block.state = state;
      block.stateKey = key;
      block.stateDay = state.day || this.day;
      block.runs = new Map();
      for (const run of state.runs) {
        if (!block.runs.has(run[0])) block.runs.set(run[0], []);
        block.runs.get(run[0]).push(run);
      }
      block.cut = new Map();
      block.areas = OM.areasOf(state);
      OM.learnChoices(this, state);
      if (this.selected && this.selected.block === block) {
        OM.showCard(this);
        OM.fillTable(this);
        OM.announce(this, OM.pickedWords(this, this.selected));
      }
      this.arrive(block);
      this.canvasLayer.schedule();
    }

    // Go on to the row or weak area that was asked for, once the block's rows and what is known of them are here.
    arrive(block, { moves = true } = {}) {
      if (!block.shape || !this.selected || this.selected.block !== block) return;
      const row = block.shape.byNumber.get(this.rowAsked);
      const area = OM.areaOf(block, this.areaAsked);
      if (area && moves) this.goToArea(block, area);
      else if (row) this.select({ block, row });
    }

    /** What is known of a block on the day shown; null while only another day's is here. */
    stateOf(block) { return block.state && block.stateDay === this.day ? block.state : null; }

    /** The stretches of a row, cut once for a state and kept. */
    stretchesOf(block, row) {
      let made = block.cut.get(row.number);
      if (!made) {
        made = OM.stretches(row, OM.runsOf(block, row.number));
        block.cut.set(row.number, made);
      }
      return made;
    }

    showLayer(layer) {
      this.layer = layer;
      this.part("ring-words").textContent = OM.legendWords(this.signs.views[layer].ring);
      for (const part of this.part("orchard-legend").querySelectorAll("[data-views]:not(#legend-features)")) part.hidden = !part.dataset.views.split(" ").includes(layer);
      this.part("orchard-checks").hidden = layer !== "quality";
      this.canvasLayer.schedule();
      this.changed();
    }

    /** Show another day, not one to come. What is drawn stands back until that day's is here. */
    async showDay(day) {
      this.day = this.farm.today && day > this.farm.today ? this.farm.today : day;
      for (const block of this.list) { block.stateKey = block.stateAsked = ""; block.areas = null; }
      await this.load().then(() => this.say(""), (problem) => this.say(problem.message));
      this.changed();
    }

    select(found) {
      this.selected = found;
      this.areaAsked = this.rowAsked = null;
      if (found) { this.wantShape(found.block); this.wantState(found.block); }
      this.pointed = null;
      OM.showCard(this);
      OM.fillTable(this);
      OM.announce(this, found ? OM.pickedWords(this, found) : "");
      this.canvasLayer.schedule();
      this.changed();
    }

    /** Select a block, or a row or weak area of it, and leave the view as it is. */
    pick(block, row, area) {
      this.select({ block, area });
      this.rowAsked = row;
      this.areaAsked = area;
      this.arrive(block, { moves: false });
    }

    // A second tap on a ring goes there: from far, one ring may stand for a farm's corner.
    tap(latlng) {
      if (this.drawing && this.drawing.isOpen) { this.drawing.tap(latlng); return; }
      const found = this.canvasLayer.under(latlng);
      const isAgain = found && !found.row && this.selected && this.selected.block === found.block;
      if (isAgain && this.canvasLayer.rings.some(({ block }) => block === found.block)) { this.goTo(found.block); return; }
      this.select(found);
      if (found) this.extent.uncover(latlng);
    }

    /** Select a block and bring it into view. */
    goTo(block, isSmooth = true) {
      this.select({ block });
      this.glide.then(() => this.extent.showBlock(block, isSmooth));
    }

    /** Select a row of a block and bring it into view. */
    goToRow(block, row) {
      this.select({ block, row });
      this.glide.then(() => this.extent.showRow(block, row));
    }

    /** Show where a block or a row is, without picking it. */
    point(block, row = null) {
      this.pointed = { block, row };
      this.canvasLayer.schedule();
    }

    /** Select a weak area of a block and bring it into view. */
    goToArea(block, area) {
      this.select({ block, area: area.id });
      this.glide.then(() => this.extent.showArea(block, area));
    }

    // Until the block's weak areas are here, the way leads to the block.
    goToNamed(id, area, row = null) {
      const block = id && this.byId.get(id);
      if (!block) return;
      // the map would not turn to the area while it still glides to the block
      this.goTo(block, !area);
      this.areaAsked = area;
      this.rowAsked = row;
      this.arrive(block);
    }

    showAll(isSmooth = true) { this.glide.then(() => this.extent.showAll(isSmooth)); }

    // The page that frames the map may say where to look: {"orchardmap": "go to block", "block": id, "area": id or none},
    // and what to look at: {"orchardmap": "look", "day": ISO date or null, "blocks": ids or null, "crew": id or null}.
    listen() {
      window.addEventListener("message", ({ origin, data }) => {
        if (origin !== location.origin || !data) return;
        this.opened.then(() => {
          if (data.orchardmap === "go to block") this.goToNamed(data.block, data.area);
          if (data.orchardmap === "look") this.look.take(data);
        });
      });
      this.opened.then(() => this.page.addEventListener("keydown", (event) => { if (event.key === "Escape") OM.putAway(this); }));
    }

    wantStateIfShown(block) {
      const isSelected = this.selected && this.selected.block === block;
      if (isSelected) this.wantState(block);
      else this.canvasLayer.schedule();
    }
  }

  /** Start the map in a page that carries its settings, its legend and perhaps its data. */
  OM.start = (map, page) => {
    OM.app = new App(map, page);
    map.setView([0, 0], 2);
    // a page that frames the map is scrolled by the wheel: only with Ctrl it zooms, which is also how a touchpad tells a pinch
    if (OM.app.config.embedded) page.getElementById("orchard-main").addEventListener("wheel", (event) => { if (!event.ctrlKey) event.stopPropagation(); }, { capture: true });
    OM.app.listen();
    OM.app.open();
  };
})();
