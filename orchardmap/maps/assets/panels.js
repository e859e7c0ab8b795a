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

  const VERDICTS = new Set(["accepted", "accepted_in_part", "send_back", "too_few", "not_begun"]);
  /** How many drawn trees were faulty and are no longer counted so; empty where there is none. */
  OM.mendedWords = ({ faulty_gone_over: n }) => (n ? OM.counted("gone_over", n) : "");
  /** Faulty trees among those drawn, with the number a lot may have and still be accepted. */
  OM.faultyWords = (facts) => {
    const { drawn, drawn_faulty: faulty, may_fail: most } = facts;
    if (!drawn) return OM.words("none_drawn");
    const stand = OM.words("n_of", { n: OM.count(faulty || 0), all: OM.count(drawn) }) + OM.mostWords(most);
    return [stand, OM.mendedWords(facts)].filter(Boolean).join("; ");
  };
  OM.mostWords = (most) => (typeof most === "number" ? ` ${OM.words("at_most", { n: OM.count(most) })}` : "");
  /** The verdict on a block, and how many of its trees it speaks of where that is not nearly all. */
  OM.verdictWords = ({ verdict, pruned, uninspected }) => (
    `${VERDICTS.has(verdict) ? OM.words(verdict) : ""}${verdict === "accepted_in_part" ? `: ${OM.words("n_of_trees", { n: OM.count(pruned - uninspected), all: OM.count(pruned) })}` : ""}`);

  OM.dayWords = (day) => {
    if (!day) return "";
    const [year, month, date] = day.split("-").map(Number);
    return new Intl.DateTimeFormat(OM.locale(), { weekday: "short", day: "numeric", month: "short", year: "numeric", timeZone: "UTC" })
      .format(new Date(Date.UTC(year, month - 1, date)));
  };

  OM.dayAfter = (day, days) => {
    const [year, month, date] = day.split("-").map(Number);
    return new Date(Date.UTC(year, month - 1, date + days)).toISOString().slice(0, 10);
  };

  function layerChoice(app) {
    const choices = Object.entries(app.signs.views).map(([key, view]) => make("label", {},
      make("input", { type: "radio", name: "layer", value: key, checked: key === app.layer, on: { change: () => app.showLayer(key) } }),
      make("span", {}, OM.legendWords(view.words))));
    return make("fieldset", { class: "choice" }, make("legend", { class: "unseen" }, OM.words("layer")), ...choices);
  }

  function dayChoice(app) {
    if (!app.source.isLive) return make("p", { class: "day" }, make("time", { datetime: app.day }, OM.dayWords(app.day)));
    const input = make("input", { type: "date", "aria-label": OM.words("day"), value: app.day, on: { change: () => input.value && app.showDay(input.value) } });
    const step = (days, sign, words) => make("button", {
      type: "button", "aria-label": words, title: words, on: { click: () => app.showDay(OM.dayAfter(app.day, days)) } }, sign);
    app.dayInput = input;
    app.dayWords = make("span", { class: "day-words" });
    app.nextDay = step(1, "\u203a", OM.words("day_after"));
    return make("div", { class: "day", role: "group", "aria-label": OM.words("day"), hidden: app.config.embedded },
      step(-1, "\u2039", OM.words("day_before")), input, app.nextDay, app.dayWords);
  }

  const NARROW_PX = 1000;

  /** Whether there is room for one panel over the map and no more. */
  OM.isNarrow = (app) => app.part("orchard-main").clientWidth < NARROW_PX;

  const setOpen = (OM.setOpen = (app, key, isOpen) => {
    const { panel, button, onOpen } = app.panels[key];
    panel.hidden = !isOpen;
    button.setAttribute("aria-expanded", String(isOpen));
    if (isOpen && onOpen) onOpen();
  });

  /** Put legend and table away, save one. */
  OM.closePanels = (app, but = "") => {
    for (const key of Object.keys(app.panels)) if (key !== but && !app.panels[key].panel.hidden) setOpen(app, key, false);
  };

  function toggle(app, key) {
    const isOpen = app.panels[key].panel.hidden;
    if (isOpen && OM.isNarrow(app)) {
      OM.closePanels(app, key);
      // the table lies over the card, and has the rows of what is picked
      if (app.selected && key !== "table") app.select(null);
    }
    setOpen(app, key, isOpen);
  }

  /** Put away what was opened last over the map: the table, then the card, then the legend. */
  OM.putAway = (app) => {
    const { table, legend } = app.panels;
    if (app.drawing && app.drawing.isOpen) { app.drawing.close(); return; }
    if (!table.panel.hidden) { setOpen(app, "table", false); table.button.focus(); }
    else if (app.selected) { app.select(null); app.map.getContainer().focus({ preventScroll: true }); }
    else if (!legend.panel.hidden) { setOpen(app, "legend", false); legend.button.focus(); }
  };

  /** Build the strip above the map. */
  OM.buildHead = (app, head) => {
    app.title = make("h1", {}, OM.words("orchard_map"));
    app.figures = make("p", { class: "figures" });
    const room = app.part("orchard-main");
    app.panels = {};
    const opener = (key, words, onOpen) => {
      const panel = app.part(`orchard-${key}`);
      const button = make("button", { type: "button", "aria-controls": panel.id, on: { click: () => toggle(app, key) } }, words);
      app.panels[key] = { panel, button, onOpen };
      return button;
    };
    // a page that frames the map has its own heading, figures and day; the name stays for those who listen
    head.append(
      make("div", { class: app.config.embedded ? "heading unseen" : "heading" }, app.title),
      layerChoice(app), dayChoice(app),
      make("div", { class: "openers" }, opener("legend", OM.words("legend")), opener("table", OM.words("table"), () => OM.fillTable(app))));
    if (!app.config.embedded) head.append(app.figures);
    setOpen(app, "table", false);
    setOpen(app, "legend", !OM.isNarrow(app) && room.clientHeight >= 560);
  };

  /** Show the farm's figures in the strip. */
  OM.showFigures = (app) => {
    const shown = app.list.filter((block) => app.look.has(block)).map((block) => app.look.factsOf(block));
    const total = (name) => shown.reduce((sum, facts) => sum + (facts[name] || 0), 0);
    const [trees, pruned, overlap] = ["trees", "pruned", "overlap"].map(total);
    const back = shown.filter(({ verdict }) => verdict === "send_back").length;
    const parts = [
      [OM.percent(pruned, trees), OM.words("of_trees_pruned")],
      [OM.count(trees - pruned), OM.words("trees_left")],
      [OM.count(back), OM.words(back === 1 ? "block_to_send_back" : "blocks_to_send_back")],
    ];
    if (overlap) parts.push([OM.count(overlap), OM.words("trees_in_overlap")]);
    if (app.dayWords) app.dayWords.textContent = OM.dayWords(app.overview.day);
    app.figures.replaceChildren(...parts.map(([value, words]) => make("span", {}, make("b", {}, value), ` ${words}`)));
  };

  const SVG = "http://www.w3.org/2000/svg";

  // Two links of a chain, and a sheet that comes out of a printer: drawn, for no font has them for sure.
  const PICTURES = {
    link: "M9,14 L15,10 M10.5,8.5 L13,6 A4,4 0 0 1 18.5,11.5 L16.5,13.5 M13.5,15.5 L11,18 A4,4 0 0 1 5.5,12.5 L7.5,10.5",
    draw: "M4,20 L5,15.5 L16,4.5 L19.5,8 L8.5,19 Z M13.5,7 L17,10.5",
    print: "M7,9 V4 H17 V9 M7,17 H4.5 V9 H19.5 V17 H17 M7,14 H17 V20 H7 Z",
  };

  function picture(key) {
    const [svg, path] = ["svg", "path"].map((tag) => document.createElementNS(SVG, tag));
    for (const [name, value] of Object.entries({ width: 26, height: 26, viewBox: "0 0 24 24", "aria-hidden": "true" })) svg.setAttribute(name, value);
    for (const [name, value] of Object.entries({ d: PICTURES[key], fill: "none", stroke: "currentColor", "stroke-width": 2, "stroke-linecap": "round", "stroke-linejoin": "round" })) path.setAttribute(name, value);
    svg.append(path);
    return svg;
  }

  const tool = (sign, words, act) => make("button", { type: "button", "aria-label": words, title: words, on: { click: act } }, sign);

  /** Zooming by hand, for gloves and for the keyboard. */
  OM.buildZoom = (app) => {
    app.part("orchard-main").append(make("div", { id: "orchard-zoom", role: "group", "aria-label": OM.words("zoom") },
      tool("+", OM.words("nearer"), () => app.glide.zoomBy(1)),
      tool("\u2212", OM.words("farther"), () => app.glide.zoomBy(-1)),
      tool("\u2302", OM.words("whole_farm"), () => app.showAll())));
  };

  /** What one does with the map as it is: take its link along, print it. */
  OM.buildTools = (app) => {
    const buttons = [
      app.address.isKept ? tool(picture("link"), OM.words("copy_link"), () => app.address.copy()) : null,
      tool(picture("print"), OM.words("print"), () => { sheets.hidden = !sheets.hidden; if (!sheets.hidden) sheets.firstChild.focus(); }),
      tool(picture("draw"), OM.words("draw"), () => (app.drawing.isOpen ? app.drawing.close() : app.drawing.open())),
    ];
    const drawing = buttons[buttons.length - 1];
    drawing.hidden = true;
    OM.offerDrawing(app, drawing);
    const sheet = (name) => make("button", { type: "button", on: { click: () => { sheets.hidden = true; app.paper.print(name); } } }, OM.words("print_on", { sheet: name }));
    const sheets = make("div", { id: "orchard-sheets", role: "group", "aria-label": OM.words("print"), hidden: true }, ...OM.SHEETS.map(sheet));
    app.part("orchard-main").append(make("div", { id: "orchard-tools", role: "group", "aria-label": OM.words("tools") }, ...buttons, app.address.field, sheets));
  };
})();
