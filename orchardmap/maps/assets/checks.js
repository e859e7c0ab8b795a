// Checks on the map: buds, and the choice of which are shown: all, those with a fault of one point, those of one crew's trees.
(() => {
  "use strict";
  const OM = (window.orchardMap = window.orchardMap || {});
  const { make } = OM;
  const MEETS_PITCH_PX = 10;
  const NONE = [];
  const [ROW, POSITION, VERDICT, DRAWN, FAILED, IS_PAST, IS_SECOND] = [1, 2, 3, 7, 9, 10, 11];

  /** Points of the brief that were not met, by key. */
  OM.failedOf = (check) => check[FAILED] || NONE;

  /** The tree was gone over again since: the check tells of an earlier state. */
  OM.isPast = (check) => Boolean(check[IS_PAST]);

  /** Looked at by another auditor, for agreement only. */
  OM.isSecond = (check) => Boolean(check[IS_SECOND]);

  OM.pointWords = (state, key) => (state.point_words || {})[key] || key;

  function crewIdOf(app, block, check) {
    const run = OM.runsOf(block, check[ROW]).find(([, first, last, , crew]) => crew >= 0 && first <= check[POSITION] && check[POSITION] <= last);
    return run ? (block.state.crews[run[4]] || {}).id : undefined;
  }

  /** What stands for a check: the name of a bud, "dot" for a tree without the chosen fault, or nothing. */
  OM.signOf = (app, block, check) => {
    if (OM.isPast(check) || OM.isSecond(check)) return "";
    const { by, key } = app.layer === "quality" ? app.shown : OM.ALL_CHECKS;
    if (app.look.crew && crewIdOf(app, block, check) !== app.look.crew) return "";
    if (by === "crew" && crewIdOf(app, block, check) !== key) return "";
    if (by === "point") return OM.failedOf(check).includes(key) ? check[VERDICT] : "dot";
    return check[VERDICT];
  };

  OM.ALL_CHECKS = { by: "all", key: "" };

  OM.OrchardLayer.include({
    /** The checks of a block that are seen: sign, place, size, and the box that each takes. */
    checksIn(block, view) {
      if (!block.state || !this.showsQuality()) return [];
      const pitch = this.pitchPx(block, view);
      const { layer } = this.app;
      const size = Math.max(9, Math.min(24, pitch * 0.95)) * (layer === "quality" ? 1.25 : 1);
      const isCrowded = layer === "progress" && pitch < MEETS_PITCH_PX;
      return block.state.checks.flatMap((check) => {
        const sign = OM.signOf(this.app, block, check);
        // sound trees would hide the rows that this layer is about
        if (!sign || (isCrowded && sign === "meets")) return [];
        const row = block.shape.byNumber.get(check[ROW]);
        const at = row && this.pixelOf(row, check[POSITION], view);
        return at ? [{ sign, at, size, isDrawn: check[DRAWN], box: [at.x - size * 0.25, at.y - size * 0.45, at.x + size * 0.25, at.y + size * 0.45] }] : [];
      });
    },

    paintChecks(block, view, taken) {
      const { signs } = this.app;
      for (const { sign, at, size, isDrawn, box } of this.checksIn(block, view)) {
        taken.take(box);
        if (sign === "dot") this.paintDot(at, size);
        else if (signs.buds[sign]) OM.drawGlyph(this.ctx, signs.buds[sign], at.x, at.y, isDrawn ? size : size * 0.68, signs.palette.sheet);
      }
    },

    paintDot({ x, y }, size) {
      const { ctx, app } = this;
      ctx.beginPath();
      ctx.arc(x, y, Math.max(2, size * 0.14), 0, 2 * Math.PI);
      ctx.fillStyle = app.signs.palette.ink;
      ctx.strokeStyle = app.signs.palette.sheet;
      ctx.lineWidth = 2.4;
      ctx.stroke();
      ctx.fill();
    },
  });

  const bySaid = (a, b) => a[1].localeCompare(b[1], OM.language(), { numeric: true });

  // Briefs may put one point differently; then its first sentence stands for all.
  const saidOf = ([key, sentences]) => [key, sentences.size > 1 ? OM.words("not_the_same", { sentence: [...sentences][0] }) : [...sentences][0]];

  const group = (label, by, entries, shown) => (entries.length ? make("optgroup", { label }, ...entries.map(([key, said]) => make("option", {
    value: JSON.stringify({ by, key }), selected: shown.by === by && shown.key === key }, said))) : null);

  // Built anew only where a state brought a point or a crew that was not there, so that an open list is not taken away.
  function fill(app) {
    const { points, crews } = app.known;
    app.checksChoice.replaceChildren(...[
      make("option", { value: JSON.stringify(OM.ALL_CHECKS), selected: app.shown.by === "all" }, OM.words("all_checks")),
      group(OM.words("with_fault"), "point", [...points].map(saidOf).sort(bySaid), app.shown),
      group(OM.words("on_crews_trees"), "crew", [...crews].sort(bySaid), app.shown),
    ].filter(Boolean));
  }

  /** Take note of the points and crews that a block's state names. */
  OM.learnChoices = (app, state) => {
    const { points, crews } = app.known;
    const known = () => crews.size + [...points.values()].reduce((sum, sentences) => sum + sentences.size, 0);
    const before = known();
    for (const key of state.checks.flatMap(OM.failedOf)) {
      if (!points.has(key)) points.set(key, new Set());
      points.get(key).add(OM.pointWords(state, key));
    }
    for (const [, , , , crew] of state.runs) if (state.crews[crew]) crews.set(state.crews[crew].id, state.crews[crew].name);
    if (known() > before) fill(app);
  };

  /** Put the choice of checks over the map; it is there in the layer on quality. */
  OM.buildChecksChoice = (app) => {
    app.shown = OM.ALL_CHECKS;
    app.known = { points: new Map(), crews: new Map() };
    app.checksChoice = make("select", { id: "orchard-checks-choice", on: { change: () => {
      app.shown = JSON.parse(app.checksChoice.value);
      OM.hintAtChecks(app, app.canvasLayer.hasNear);
      app.canvasLayer.schedule();
    } } });
    app.checksHint = make("p", { id: "orchard-checks-hint" });
    const label = make("label", { for: app.checksChoice.id }, OM.words("column_checks"));
    app.part("orchard-over").append(make("div", { id: "orchard-checks", hidden: true }, label, app.checksChoice, app.checksHint));
    fill(app);
  };

  /** Say what the choice shows: from far there are no trees, so it changes nothing there. */
  OM.hintAtChecks = (app, isNear) => {
    const words = !isNear ? OM.words("go_nearer") : app.shown.by === "point" ? OM.words("no_fault_of_point") : "";
    if (app.checksHint.textContent !== words) app.checksHint.textContent = words;
    app.checksHint.hidden = !words;
  };
})();
