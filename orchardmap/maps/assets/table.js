// What the map shows, without a picture: the blocks in view, and the rows of the one that is picked.
(() => {
  "use strict";
  const OM = (window.orchardMap = window.orchardMap || {});
  const { make } = OM;
  const COLUMNS = ["block", "variety", "trees", "pruned", "faulty_of_drawn", "verdict", "weak_no_return", "again"];
  const ROW_COLUMNS = ["row", "trees", "pruned", "again", "overlap", "checks", "faulty"];
  const [PRUNED, OVERLAP, AGAIN] = [1, 2, 3];

  const hidesMap = (app) => 2 * app.part("orchard-table").offsetWidth > app.part("orchard-main").clientWidth;

  // What was chosen must be seen: a table that hides the map goes, and what had the focus is on the map then.
  function leave(app) {
    if (OM.isNarrow(app)) OM.closePanels(app);
    else if (hidesMap(app)) OM.setOpen(app, "table", false);
    if (app.part("orchard-table").hidden) app.map.getContainer().focus({ preventScroll: true });
  }

  const head = (keys) => make("thead", {}, make("tr", {}, ...keys.map((key) => make("th", { scope: "col" }, OM.words(`column_${key}`)))));

  function line(key, words, more, cells, go, point) {
    const choose = make("button", { type: "button", class: "plain", "data-key": key, on: { click: go, focus: point, mouseenter: point } }, words);
    return make("tr", {}, make("th", { scope: "row" }, choose, more), ...cells.map((cell) => make("td", {}, cell)));
  }

  function blockLine(app, block) {
    const { facts } = block;
    const cells = [
      facts.variety || "", OM.count(facts.trees), OM.percent(facts.pruned, facts.trees),
      OM.faultyWords(facts), OM.verdictWords(facts), OM.count(facts.weak || 0), OM.count(facts.again || 0),
    ];
    const closed = facts.closed ? make("span", {}, OM.words("closed", { words: OM.closedWords(facts.closed) })) : null;
    return line(block.id, `${facts.code} ${facts.name || ""}`.trim(), closed, cells, () => { leave(app); app.goTo(block); }, () => app.point(block));
  }

  function blocksTable(app) {
    const all = app.list.filter((block) => app.look.has(block)).sort(OM.byCode);
    const shown = app.onlyInView ? all.filter((block) => app.extent.holds(block)) : all;
    const caption = shown.length === all.length
      ? OM.words("blocks_on", { day: OM.dayWords(app.overview.day) })
      : OM.words("blocks_in_view", { day: OM.dayWords(app.overview.day), n: OM.count(shown.length), all: OM.count(all.length) });
    return make("table", {}, make("caption", {}, caption), head(COLUMNS), make("tbody", {}, ...shown.map((block) => blockLine(app, block))));
  }

  function rowLine(app, block, row) {
    const kinds = OM.kindsOf(row, OM.runsOf(block, row.number));
    const apart = new Set([...row.blanks, ...row.pollinizers]);
    const counts = [0, 0, 0, 0];
    for (let p = 1; p <= row.positions; p++) if (!apart.has(p)) counts[kinds[p]]++;
    const trees = counts.reduce((sum, n) => sum + n, 0);
    const checks = block.state.checks.filter((check) => check[1] === row.number && !OM.isPast(check) && !OM.isSecond(check));
    const cells = [trees, null, counts[AGAIN], counts[OVERLAP], checks.length, checks.filter((check) => check[3] === "faulty").length]
      .map((n) => (n === null ? OM.percent(counts[PRUNED] + counts[OVERLAP] + counts[AGAIN], trees) : OM.count(n)));
    const go = () => { leave(app); app.goToRow(block, row); };
    return line(`${block.id} ${row.number}`, OM.words("row_n", { row: row.number }), null, cells, go, () => app.point(block, row));
  }

  function rowsTable(app) {
    const block = app.selected && app.selected.block;
    if (!block || !block.shape || !app.stateOf(block)) return null;
    const rows = [...block.shape.rows].sort((a, b) => a.number - b.number);
    return make("table", { class: "rows" }, make("caption", {}, OM.words("rows_of", { code: block.facts.code })), head(ROW_COLUMNS),
      make("tbody", {}, ...rows.map((row) => rowLine(app, block, row))));
  }

  OM.byCode = (a, b) => a.facts.code.localeCompare(b.facts.code, "en", { numeric: true });

  /** Fill the table while it is open. What has the focus in it keeps it. */
  OM.fillTable = (app) => {
    const panel = app.part("orchard-table");
    if (panel.hidden || !app.overview || !app.extent) return;
    const held = panel.contains(app.page.activeElement) && app.page.activeElement.dataset.key;
    app.viewChoice ||= make("input", { type: "checkbox", checked: true, on: { change: () => { app.onlyInView = app.viewChoice.checked; OM.fillTable(app); } } });
    app.onlyInView = app.viewChoice.checked;
    if (!app.tableParts) {
      app.tableParts = make("div");
      panel.replaceChildren(make("label", { class: "switch" }, app.viewChoice, OM.words("only_in_view")), app.tableParts);
    }
    app.tableParts.replaceChildren(...[blocksTable(app), rowsTable(app)].filter(Boolean));
    const again = held && [...app.tableParts.querySelectorAll("[data-key]")].find((button) => button.dataset.key === held);
    if (again) again.focus({ preventScroll: true });
  };
})();
