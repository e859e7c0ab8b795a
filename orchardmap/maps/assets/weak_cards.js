// Weak areas in words: a card of one, and the list of them on the cards of their block and rows.
(() => {
  "use strict";
  const OM = (window.orchardMap = window.orchardMap || {});
  const { make } = OM;

  const fromTo = ([first, last], one, many) => (first === last ? `${one} ${first}` : `${many} ${first} to ${last}`);
  const whereWords = (area) => `${fromTo(area.rows, "row", "rows")}, ${fromTo(area.positions, "position", "positions")}`;
  const shareWords = ({ faulty, checked }) => `${OM.count(faulty)} of ${OM.count(checked)} faulty`;

  /** A list of weak areas, each a way to it; null where there is none. */
  OM.weakList = (app, block, row) => {
    const areas = (block.areas || []).filter(({ rows: [first, last] }) => !row || (first <= row.number && row.number <= last));
    if (!areas.length) return null;
    const item = (area) => make("li", {},
      make("button", { type: "button", class: "plain", on: { click: () => app.goToArea(block, area) } }, whereWords(area)),
      ` ${area.odds_words || shareWords(area)}`);
    return make("section", {}, make("h3", {}, areas.length === 1 ? "Weak area" : "Weak areas"), make("ul", { class: "weak-areas" }, ...areas.map(item)));
  };

  function list(words, items) {
    return items && items.length ? [make("h3", {}, words), make("ul", {}, ...items.map((said) => make("li", {}, said)))] : [];
  }

  /** What a weak area's card holds. */
  OM.areaCard = (app, block, area) => [
    make("h2", {}, `${block.facts.code}, weak area`),
    OM.closedNote(block),
    make("p", { class: "odds" }, area.odds_words || shareWords(area)),
    OM.facts([
      ["Where", whereWords(area)],
      ["State", OM.hatchingOf(app.signs, area.state).words],
      ["New checks", area.recheck ? shareWords(area.recheck) : ""],
      ["Returns", area.returns && area.returns.length ? OM.count(area.returns.length) : ""],
    ]),
    ...list("Points not met", (area.points || []).map(({ key, sentence, failed }) => `${OM.count(failed)} ${failed === 1 ? "tree" : "trees"}: ${sentence || key}`)),
    ...list("Crews", (area.crews || []).map((crew) => `${crew.crew}: ${shareWords(crew)}`)),
  ];
})();
