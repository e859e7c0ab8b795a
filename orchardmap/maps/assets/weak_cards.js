// Weak areas in words: a card of one, and the list of them on the cards of their block and rows.
(() => {
  "use strict";
  const OM = (window.orchardMap = window.orchardMap || {});
  const { make } = OM;

  const fromTo = ([first, last], one, many) => OM.words(first === last ? one : many, { first, last, row: first });
  const whereWords = (area) => `${fromTo(area.rows, "row_low", "rows_to")}, ${fromTo(area.positions, "position", "positions_to")}`;
  const shareWords = (OM.shareWords = ({ faulty, checked }) => OM.words("n_of_faulty", { n: OM.count(faulty), all: OM.count(checked) }));

  /** A list of weak areas, each a way to it; null where there is none. */
  OM.weakList = (app, block, row) => {
    const areas = (block.areas || []).filter(({ rows: [first, last] }) => !row || (first <= row.number && row.number <= last));
    if (!areas.length) return null;
    const item = (area) => make("li", {},
      make("button", { type: "button", class: "plain", on: { click: () => app.goToArea(block, area) } }, whereWords(area)),
      ` ${area.odds_words || shareWords(area)}`);
    return make("section", {}, make("h3", {}, OM.words(areas.length === 1 ? "weak_area" : "weak_areas")), make("ul", { class: "weak-areas" }, ...areas.map(item)));
  };

  function list(words, items) {
    return items && items.length ? [make("h3", {}, words), make("ul", {}, ...items.map((said) => make("li", {}, said)))] : [];
  }

  /** What a weak area's card holds. */
  OM.areaCard = (app, block, area) => [
    make("h2", {}, OM.words("block_weak_area", { code: block.facts.code })),
    OM.closedNote(block),
    make("p", { class: "odds" }, area.odds_words || shareWords(area)),
    OM.facts([
      [OM.words("where"), whereWords(area)],
      [OM.words("state"), OM.signWords(OM.hatchingOf(app.signs, area.state))],
      [OM.words("new_checks"), area.recheck ? shareWords(area.recheck) : ""],
      [OM.words("returns"), area.returns && area.returns.length ? OM.count(area.returns.length) : ""],
    ]),
    ...list(OM.words("points_not_met"), (area.points || []).map(({ key, sentence, failed }) => `${OM.counted("trees", failed)}: ${sentence || key}`)),
    ...list(OM.words("crews"), (area.crews || []).map((crew) => `${crew.crew}: ${shareWords(crew)}`)),
  ];
})();
