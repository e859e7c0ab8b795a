// The side card: what is known of one block or one row, in words.
(() => {
  "use strict";
  const OM = (window.orchardMap = window.orchardMap || {});
  const { make } = OM;

  OM.closedWords = (closed) => {
    const until = closed.until ? `until ${OM.momentWords(closed.until)}` : "";
    return [until, closed.reason].filter(Boolean).join(": ");
  };

  // The service writes the moment in the farm's own zone; it is shown as written, never moved to the reader's.
  OM.momentWords = (moment) => {
    const [day, time] = String(moment).split("T");
    if (!/^\d{4}-\d{2}-\d{2}$/.test(day)) return String(moment);
    return time ? `${OM.dayWords(day)}, ${time.slice(0, 5)}` : OM.dayWords(day);
  };

  /** Pairs of a name and what it is; a pair without a value is left out. */
  OM.facts = (pairs) => make("dl", {}, ...pairs.filter(([, value]) => value !== "" && value !== null && value !== undefined)
    .flatMap(([name, value]) => [make("dt", {}, name), make("dd", {}, value)]));

  OM.closedNote = (block) => (block.facts.closed
    ? make("p", { class: "closed-note" }, `Closed ${OM.closedWords(block.facts.closed)}. Nobody may enter.`) : null);

  function actions(app, block, row, area) {
    const made = [];
    if (!row && !area) made.push(make("button", { type: "button", id: "orchard-go", on: { click: () => app.goTo(block) } }, "Go to the block"));
    if (app.source.isLive) {
      const { rows_page: rows, checks_page: checks, quality_page: quality } = app.config;
      const query = `?block=${encodeURIComponent(block.id)}${row ? `&row=${row.number}` : ""}`;
      const link = (address, words) => made.push(make("a", { href: address, target: "_top" }, words));
      if (area) link(`${quality}${query}&part=weak`, "Quality of the block");
      // nobody marks rows where nobody may enter, nor is a weak area the place to begin
      else if (!block.facts.closed) link(`${rows}${query}`, "Mark rows");
      if (!block.facts.closed) link(`${checks}${query}`, "Check trees");
    }
    return made.length ? make("div", { class: "actions" }, ...made) : null;
  }

  // The verdict counts drawn trees alone, so they are told apart from those seen while walking.
  function drawnWords(app, facts) {
    const { drawn, must_check: wanted } = facts;
    if (!drawn && !facts.checked) return app.signs.words.nothing_checked;
    if (!drawn && !facts.lots_open) return "none drawn"; // how many a lot to come will want, its plan tells
    const short = typeof wanted === "number" && drawn < wanted ? ` of ${OM.count(wanted)} wanted` : "";
    const mended = OM.mendedWords(facts);
    const most = typeof facts.may_fail === "number" ? ` (at most ${OM.count(facts.may_fail)})` : "";
    const stand = mended && !facts.drawn_faulty ? "" : `${OM.count(facts.drawn_faulty || 0)} faulty${most}`;
    return [`drawn ${OM.count(drawn || 0)}${short}`, stand, mended].filter(Boolean).join(", ");
  }

  function walkingWords(facts) {
    const seen = facts.checked - facts.drawn;
    if (!(seen > 0)) return "";
    return `${OM.count(seen)} more, ${OM.count(facts.faulty - facts.drawn_faulty)} faulty; outside the verdict`;
  }

  function blockCard(app, block) {
    const it = block.facts;
    return [
      make("h2", {}, `${it.code} ${it.name || ""}`.trim()),
      OM.closedNote(block),
      OM.facts([
        ["Variety", it.variety ? `${it.variety}${it.habit && it.habit !== "unknown" ? ` (${habitWords(it.habit)})` : ""}` : ""],
        ["Pruned", `${OM.percent(it.pruned, it.trees)}: ${OM.count(it.pruned)} of ${OM.count(it.trees)} trees`],
        ["Still to prune", `${OM.count(it.trees - it.pruned)} trees`],
        ["To go over again", it.again ? `${OM.count(it.again)} trees` : ""],
        ["Overlap", it.overlap ? `${OM.count(it.overlap)} trees claimed by two crews` : ""],
        ["Rows", OM.count(it.rows)],
        ["Area", it.area_ha ? `${it.area_ha.toFixed(2)} ha` : ""],
        ["Checks", drawnWords(app, it)],
        ["Seen walking", walkingWords(it)],
        ["Verdict", OM.verdictWords(it)],
      ]),
      OM.weakList(app, block),
    ];
  }

  const habitWords = (habit) => ({ spur: "spur bearer", tip: "tip bearer", both: "spur and tip bearer" })[habit] || habit;

  const span = (first, last) => (first === last ? `position ${first}` : `positions ${first} to ${last}`);

  // What stands on each stretch of a row, in order, with the crew where one crew is known.
  function stretchItems(app, block, row) {
    const runs = OM.runsOf(block, row.number);
    const apart = new Set([...row.blanks, ...row.pollinizers]);
    const treesOf = (from, to) => {
      let trees = 0;
      for (let p = from; p <= to; p++) if (!apart.has(p)) trees++;
      return trees === to - from + 1 ? "" : ` (${trees} ${trees === 1 ? "tree" : "trees"})`;
    };
    const words = (kind) => app.signs.lines[app.signs.kinds[kind]].words;
    const crewOf = (first, kind) => {
      const run = runs.find(([, a, b, k, crew]) => k === kind && a <= first && first <= b && crew >= 0);
      const crew = run && block.state.crews[run[4]];
      return crew ? `, ${crew.name}` : "";
    };
    const made = [];
    const add = (first, last, kind) => made.push(make("li", {}, `${span(first, last)}${treesOf(first, last)}: ${words(kind)}${crewOf(first, kind)}`));
    const kinds = OM.kindsOf(row, runs);
    const starts = new Set(runs.map(([, first]) => first));
    let first = 1;
    for (let p = 2; p <= row.positions + 1; p++) {
      if (p <= row.positions && kinds[p] === kinds[first] && !starts.has(p)) continue;
      add(first, p - 1, kinds[first]);
      first = p;
    }
    return row.positions ? made : [];
  }

  function checkItems(app, block, row) {
    return block.state.checks.filter((check) => check[1] === row.number).sort((a, b) => a[2] - b[2])
      .map((check) => make("li", {}, checkWords(app, block, check)));
  }

  function checkWords(app, block, check) {
    const [, , position, verdict, day, auditor, note, drawn] = check;
    const bud = app.signs.buds[verdict];
    const failed = OM.failedOf(check).map((key) => OM.pointWords(block.state, key).replace(/\.$/, "")).join("; ");
    return [
      `position ${position}: ${bud ? bud.words : ""}`, OM.dayWords(day), auditor, OM.isSecond(check) ? "second look" : drawn ? "" : "seen while walking",
      OM.isPast(check) ? "before the tree was gone over again" : "", note, failed && `not met: ${failed}`,
    ].filter(Boolean).join(", ");
  }

  function rowCard(app, block, row) {
    const it = block.facts;
    const state = app.stateOf(block);
    const kinds = OM.kindsOf(row, OM.runsOf(block, row.number));
    const apart = new Set([...row.blanks, ...row.pollinizers]);
    let trees = 0;
    let pruned = 0;
    for (let p = 1; p <= row.positions; p++) {
      if (apart.has(p)) continue;
      trees++;
      if (kinds[p]) pruned++;
    }
    const checks = state ? checkItems(app, block, row) : [];
    return [
      make("h2", {}, `${it.code}, row ${row.number}`),
      OM.closedNote(block),
      OM.facts([
        ["Pruned", state ? `${OM.percent(pruned, trees)}: ${OM.count(pruned)} of ${OM.count(trees)} trees` : "loading \u2026"],
        ["Positions", `${OM.count(row.positions)}${row.counted ? ", counted" : ""}`],
        ["Blanks", row.blanks.length ? row.blanks.join(", ") : ""],
        ["Pollinizers", row.pollinizers.length ? row.pollinizers.join(", ") : ""],
      ]),
      state ? make("h3", {}, "Along the row") : null,
      state ? make("ul", {}, ...stretchItems(app, block, row)) : null,
      checks.length ? make("h3", {}, "Checks") : null,
      checks.length ? make("ul", {}, ...checks) : null,
      OM.weakList(app, block, row),
    ];
  }

  /** Offer the way to the chosen block only while it is seen from far. */
  OM.offerWay = (app) => {
    const button = app.part("orchard-go");
    if (!button || !app.selected) return;
    const isFar = app.canvasLayer.rings.some((ring) => ring.block === app.selected.block);
    const isLeft = !isFar && button === app.page.activeElement;
    button.hidden = !isFar;
    if (isLeft) app.part("orchard-card").focus({ preventScroll: true });
  };

  /** Fill the side card with what is selected, or put it away. */
  OM.showCard = (app) => {
    const card = app.part("orchard-card");
    card.hidden = !app.selected;
    if (!app.selected) return;
    if (OM.isNarrow(app)) OM.closePanels(app);
    const { block, row } = app.selected;
    const area = OM.areaOf(block, app.selected.area);
    const away = make("button", { type: "button", class: "away", "aria-label": "Close", on: { click: () => app.select(null) } }, "\u00d7");
    const inside = area ? OM.areaCard(app, block, area) : row ? rowCard(app, block, row) : blockCard(app, block);
    card.replaceChildren(...[away, ...inside, actions(app, block, row, area)].filter(Boolean));
  };
})();
