// The side card: what is known of one block or one row, in words.
(() => {
  "use strict";
  const OM = (window.orchardMap = window.orchardMap || {});
  const { make } = OM;

  OM.closedWords = (closed) => {
    const until = closed.until ? OM.words("until", { moment: OM.momentWords(closed.until) }) : "";
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
    ? make("p", { class: "closed-note" }, OM.words("closed_note", { words: OM.closedWords(block.facts.closed) })) : null);

  function actions(app, block, row, area) {
    const made = [];
    if (!row && !area) made.push(make("button", { type: "button", id: "orchard-go", on: { click: () => app.goTo(block) } }, OM.words("go_to_block")));
    if (app.source.isLive) {
      const { rows_page: rows, checks_page: checks, quality_page: quality } = app.config;
      const query = `?block=${encodeURIComponent(block.id)}${row ? `&row=${row.number}` : ""}`;
      const link = (address, words) => made.push(make("a", { href: address, target: "_top" }, words));
      if (area) link(`${quality}${query}&part=weak`, OM.words("quality_of_block"));
      // nobody marks rows where nobody may enter, nor is a weak area the place to begin
      else if (!block.facts.closed) link(`${rows}${query}`, OM.words("mark_rows"));
      if (!block.facts.closed) link(`${checks}${query}`, OM.words("check_trees"));
    }
    return made.length ? make("div", { class: "actions" }, ...made) : null;
  }

  // The verdict counts drawn trees alone, so they are told apart from those seen while walking.
  function drawnWords(app, facts) {
    const { drawn, must_check: wanted } = facts;
    if (!drawn && !facts.checked) return OM.words("nothing_checked");
    if (!drawn && !facts.lots_open) return OM.words("none_drawn"); // how many a lot to come will want, its plan tells
    const isShort = typeof wanted === "number" && drawn < wanted;
    const mended = OM.mendedWords(facts);
    const stand = mended && !facts.drawn_faulty ? "" : OM.words("n_faulty", { n: OM.count(facts.drawn_faulty || 0) }) + OM.mostWords(facts.may_fail);
    return [OM.words(isShort ? "drawn_of_wanted" : "drawn_n", { n: OM.count(drawn || 0), wanted: OM.count(wanted || 0) }), stand, mended].filter(Boolean).join(", ");
  }

  function walkingWords(facts) {
    const seen = facts.checked - facts.drawn;
    if (!(seen > 0)) return "";
    return OM.words("seen_more", { n: OM.count(seen), faulty: OM.count(facts.faulty - facts.drawn_faulty) });
  }

  function blockCard(app, block) {
    const it = block.facts;
    return [
      make("h2", {}, `${it.code} ${it.name || ""}`.trim()),
      OM.closedNote(block),
      OM.facts([
        [OM.words("column_variety"), it.variety ? `${it.variety}${it.habit && it.habit !== "unknown" ? ` (${habitWords(it.habit)})` : ""}` : ""],
        [OM.words("column_pruned"), prunedWords(it)],
        [OM.words("still_to_prune"), OM.counted("trees", it.trees - it.pruned)],
        [OM.words("to_go_over_again"), it.again ? OM.counted("trees", it.again) : ""],
        [OM.words("column_overlap"), it.overlap ? OM.words("claimed_by_two", { n: OM.count(it.overlap) }) : ""],
        [OM.words("rows"), OM.count(it.rows)],
        [OM.words("area"), it.area_ha ? `${OM.fixed(it.area_ha, 2)} ha` : ""],
        [OM.words("column_checks"), drawnWords(app, it)],
        [OM.words("seen_walking"), walkingWords(it)],
        [OM.words("column_verdict"), OM.verdictWords(it)],
      ]),
      OM.weakList(app, block),
    ];
  }

  const prunedWords = ({ pruned, trees }) => `${OM.percent(pruned, trees)}: ${OM.words("n_of_trees", { n: OM.count(pruned), all: OM.count(trees) })}`;

  const habitWords = (habit) => (["spur", "tip", "both"].includes(habit) ? OM.words(`habit_${habit}`) : habit);

  const span = (first, last) => OM.words(first === last ? "position" : "positions_to", { first, last });

  // What stands on each stretch of a row, in order, with the crew where one crew is known.
  function stretchItems(app, block, row) {
    const runs = OM.runsOf(block, row.number);
    const apart = new Set([...row.blanks, ...row.pollinizers]);
    const treesOf = (from, to) => {
      let trees = 0;
      for (let p = from; p <= to; p++) if (!apart.has(p)) trees++;
      return trees === to - from + 1 ? "" : ` (${OM.counted("trees", trees)})`;
    };
    const words = (kind) => OM.signWords(app.signs.lines[app.signs.kinds[kind]]);
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
      `${span(position, position)}: ${bud ? OM.signWords(bud) : ""}`, OM.dayWords(day), auditor, OM.isSecond(check) ? OM.words("second_look") : drawn ? "" : OM.words("seen_while_walking"),
      OM.isPast(check) ? OM.words("before_gone_over") : "", note, failed && OM.words("not_met", { points: failed }),
    ].filter(Boolean).join(", ");
  }

  function rowCard(app, block, row) {
    const it = block.facts;
    const state = app.stateOf(block);
    const { trees, pruned } = OM.rowFigures(block, row);
    const checks = state ? checkItems(app, block, row) : [];
    return [
      make("h2", {}, OM.words("block_row", { code: it.code, row: row.number })),
      OM.closedNote(block),
      OM.facts([
        [OM.words("column_pruned"), state ? prunedWords({ pruned, trees }) : OM.words("loading_row")],
        [OM.words("positions"), row.counted ? OM.words("n_counted", { n: OM.count(row.positions) }) : OM.count(row.positions)],
        [OM.words("blanks"), row.blanks.length ? row.blanks.join(", ") : ""],
        [OM.words("pollinizers"), row.pollinizers.length ? row.pollinizers.join(", ") : ""],
      ]),
      state ? make("h3", {}, OM.words("along_row")) : null,
      state ? make("ul", {}, ...stretchItems(app, block, row)) : null,
      checks.length ? make("h3", {}, OM.words("column_checks")) : null,
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
    const away = make("button", { type: "button", class: "away", "aria-label": OM.words("close"), on: { click: () => app.select(null) } }, "\u00d7");
    const inside = area ? OM.areaCard(app, block, area) : row ? rowCard(app, block, row) : blockCard(app, block);
    card.replaceChildren(...[away, ...inside, actions(app, block, row, area)].filter(Boolean));
  };
})();
