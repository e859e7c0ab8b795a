// The controls round the map and the table of blocks. Every word from people goes in as text, never as HTML.
(() => {
  "use strict";
  const OM = (window.orchardMap = window.orchardMap || {});

  /** Make an element: attributes by name, `on` for events, children as nodes or text. */
  OM.make = (tag, { on = {}, ...attributes } = {}, ...children) => {
    const element = document.createElement(tag);
    for (const [name, value] of Object.entries(attributes)) {
      if (value !== false && value !== null && value !== undefined) element.setAttribute(name, value === true ? "" : value);
    }
    for (const [event, act] of Object.entries(on)) element.addEventListener(event, act);
    element.append(...children.filter((child) => child !== null && child !== undefined));
    return element;
  };
  const { make } = OM;

  const VERDICTS = { accepted: "accepted", send_back: "send back", too_few: "too few checks" };
  OM.verdictWords = (verdict) => VERDICTS[verdict] || "";

  OM.dayWords = (day) => {
    if (!day) return "";
    const [year, month, date] = day.split("-").map(Number);
    return new Intl.DateTimeFormat("en-GB", { weekday: "short", day: "numeric", month: "short", year: "numeric", timeZone: "UTC" })
      .format(new Date(Date.UTC(year, month - 1, date)));
  };

  OM.dayAfter = (day, days) => {
    const [year, month, date] = day.split("-").map(Number);
    return new Date(Date.UTC(year, month - 1, date + days)).toISOString().slice(0, 10);
  };

  function layerChoice(app) {
    const choices = Object.entries(app.signs.views).map(([key, view]) => make("label", {},
      make("input", { type: "radio", name: "layer", value: key, checked: key === app.layer, on: { change: () => app.showLayer(key) } }),
      make("span", {}, view.words)));
    return make("fieldset", { class: "choice" }, make("legend", { class: "unseen" }, "Layer"), ...choices);
  }

  function dayChoice(app) {
    if (!app.source.isLive) return make("p", { class: "day" }, make("time", { datetime: app.day }, OM.dayWords(app.day)));
    const input = make("input", { type: "date", "aria-label": "Day", value: app.day, on: { change: () => input.value && app.showDay(input.value) } });
    const step = (days, sign, words) => make("button", {
      type: "button", "aria-label": words, title: words, on: { click: () => app.showDay(OM.dayAfter(app.day, days)) } }, sign);
    app.dayInput = input;
    app.nextDay = step(1, "\u203a", "Day after");
    return make("div", { class: "day", role: "group", "aria-label": "Day", hidden: app.config.embedded }, step(-1, "\u2039", "Day before"), input, app.nextDay);
  }

  /** A button that shows and hides a panel. */
  function opener(words, panel, { open, onOpen = () => {} }) {
    const button = make("button", { type: "button", "aria-expanded": String(open), "aria-controls": panel.id, on: {
      click: () => {
        panel.hidden = !panel.hidden;
        button.setAttribute("aria-expanded", String(!panel.hidden));
        if (!panel.hidden) onOpen();
      } } }, words);
    panel.hidden = !open;
    return button;
  }

  /** Build the strip above the map. */
  OM.buildHead = (app, head) => {
    const legend = app.part("orchard-legend");
    const table = app.part("orchard-table");
    app.title = make("h1", { class: app.config.embedded ? "unseen" : false }, "Orchard map");
    // a page that frames the map has its own figures and its own day
    app.figures = make("p", { class: "figures", hidden: app.config.embedded });
    const room = app.part("orchard-main");
    const isRoomy = room.clientWidth >= 1000 && room.clientHeight >= 560;
    head.append(
      make("div", { class: "heading" }, app.title, app.figures),
      layerChoice(app), dayChoice(app),
      make("div", { class: "openers" },
        opener("Legend", legend, { open: isRoomy }),
        opener("Table", table, { open: false, onOpen: () => OM.fillTable(app) })));
  };

  /** Show the farm's figures in the strip. */
  OM.showFigures = (app) => {
    const { figures } = app.overview;
    const lots = figures.lots || {};
    const parts = [
      [OM.percent(figures.pruned, figures.trees), "of trees pruned"],
      [OM.count(figures.trees - figures.pruned), "trees left"],
      [OM.count(lots.send_back || 0), lots.send_back === 1 ? "lot to send back" : "lots to send back"],
    ];
    if (figures.overlap_trees) parts.push([OM.count(figures.overlap_trees), "trees in overlap"]);
    app.figures.replaceChildren(...parts.map(([value, words]) => make("span", {}, make("b", {}, value), ` ${words}`)));
  };

  const COLUMNS = ["Block", "Variety", "Trees", "Pruned", "Checked", "Faulty", "Verdict", "Closed"];

  function tableRow(app, block) {
    const { facts } = block;
    const choose = make("button", { type: "button", class: "plain", on: { click: () => app.goTo(block) } }, `${facts.code} ${facts.name || ""}`.trim());
    const cells = [
      facts.variety || "", OM.count(facts.trees), OM.percent(facts.pruned, facts.trees), OM.count(facts.checked || 0),
      OM.count(facts.faulty || 0), OM.verdictWords(facts.verdict), facts.closed ? OM.closedWords(facts.closed) : "",
    ];
    return make("tr", {}, make("th", { scope: "row" }, choose), ...cells.map((words) => make("td", {}, words)));
  }

  /** The same facts without a picture: one line a block. */
  OM.fillTable = (app) => {
    const panel = app.part("orchard-table");
    if (panel.hidden || !app.overview) return;
    const blocks = [...app.list].sort((a, b) => a.facts.code.localeCompare(b.facts.code, "en", { numeric: true }));
    panel.replaceChildren(make("table", {},
      make("caption", {}, `Blocks on ${OM.dayWords(app.overview.day)}`),
      make("thead", {}, make("tr", {}, ...COLUMNS.map((words) => make("th", { scope: "col" }, words)))),
      make("tbody", {}, ...blocks.map((block) => tableRow(app, block)))));
  };

  /** Zooming by hand, for gloves and for the keyboard. */
  OM.buildZoom = (app) => {
    const button = (sign, words, act) => make("button", { type: "button", "aria-label": words, title: words, on: { click: act } }, sign);
    app.part("orchard-main").append(make("div", { id: "orchard-zoom", role: "group", "aria-label": "Zoom" },
      button("+", "Nearer", () => app.map.zoomIn(1)),
      button("\u2212", "Farther", () => app.map.zoomOut(1)),
      button("\u2302", "Whole farm", () => app.showAll())));
  };
})();
