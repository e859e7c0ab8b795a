// What of the farm is looked at: a day, some of its blocks, one crew's work. What is not of it stands back, and words say so.
(() => {
  "use strict";
  const OM = (window.orchardMap = window.orchardMap || {});
  const { make } = OM;
  const BACK = 0.28;
  const WAITING = 0.45;
  const OVERLAP = 2;

  const listed = (text) => (text ? text.split(",").filter(Boolean) : null);

  OM.Look = class {
    constructor(app) {
      this.app = app;
      this.blocks = null;
      this.crew = null;
      this.figures = null;
      this.note = make("p", { role: "status" });
      const all = app.config.embedded ? null : make("button", { type: "button", on: { click: () => this.take({ blocks: null, crew: null }) } }, OM.words("show_all"));
      this.box = make("div", { id: "orchard-look", hidden: true }, this.note, all);
      app.part("orchard-over").append(this.box);
    }

    /** Read the look that a page's address asks for. */
    read(query) {
      this.blocks = this.setOf(listed(query.get("blocks")));
      this.crew = query.get("crew") || null;
    }

    setOf(ids) { return Array.isArray(ids) ? new Set(ids.map(String)) : null; }

    get isWhole() { return !this.blocks && !this.crew; }

    /** Look at something else. The day is left as it is where none is named; the figures are what rings say instead: a crew's own trees, or a day's while a slider is dragged. */
    take({ day, blocks, crew, figures }) {
      if (blocks !== undefined) this.blocks = this.setOf(blocks);
      if (crew !== undefined) this.crew = crew || null;
      this.figures = figures || null;
      this.tell();
      this.app.refresh();
      this.app.changed();
      if (day !== undefined) this.goToDay(day || this.app.farm.today || "");
    }

    // A slider asks for days faster than they come: while one is on its way only the last that was asked for waits.
    async goToDay(day) {
      this.wanted = day;
      if (this.isGoing) return;
      this.isGoing = true;
      try {
        while (this.wanted !== this.app.day) await this.app.showDay(this.wanted);
      } finally {
        this.isGoing = false;
      }
    }

    has(block) { return !this.blocks || this.blocks.has(block.id); }

    /** How strongly a block is drawn. */
    alphaOf(block) { return this.has(block) ? 1 : BACK; }

    /** Rows whose state is still that of another day are drawn faintly until theirs is here. */
    rowsAlpha(block) { return this.alphaOf(block) * (block.state && block.stateDay !== this.app.day ? WAITING : 1); }

    crewName() {
      const found = (this.app.farm.crews || []).find(({ id }) => id === this.crew);
      return (found && found.name) || this.app.known.crews.get(this.crew) || OM.words("one_crew");
    }

    /** The stretches of a row that the chosen crew made, or two crews; null where no crew is chosen. */
    ownStretches(block, row) {
      if (!this.crew) return null;
      const own = OM.runsOf(block, row.number).filter(([, , , kind, crew]) => kind === OVERLAP || (crew >= 0 && (block.state.crews[crew] || {}).id === this.crew));
      return OM.stretches(row, own).filter(({ kind }) => kind > 0);
    }

    /** What a ring says: of the chosen crew's trees where they are told, else of the whole block. */
    factsOf(block) {
      const own = this.figures && this.figures[block.id];
      return own ? { ...block.facts, ...own } : block.facts;
    }

    words() {
      if (this.isWhole) return "";
      const parts = [];
      if (this.blocks) parts.push(OM.words("blocks_shown", { n: OM.count(this.app.list.filter((block) => this.has(block)).length), all: OM.count(this.app.list.length) }));
      if (this.crew) parts.push(OM.words(this.figures ? "crew_shown" : "crew_rows_shown", { crew: this.crewName() }));
      return parts.join(" ");
    }

    tell() {
      this.note.textContent = this.words();
      this.box.hidden = this.isWhole;
    }
  };
})();
