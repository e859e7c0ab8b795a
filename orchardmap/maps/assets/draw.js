// A manager draws what lies on the farm: taps on the map are its points. Only in a page of its own, beside the service.
(() => {
  "use strict";
  const OM = (window.orchardMap = window.orchardMap || {});
  const { make } = OM;
  // what may be drawn as what, in the order of choice
  const CHOICES = [
    ["track", "LineString"], ["gate", "Point"], ["water", "LineString"], ["water", "Polygon"], ["water", "Point"],
    ["shed", "Polygon"], ["shed", "Point"], ["other", "LineString"], ["other", "Polygon"], ["other", "Point"],
  ];
  const LEAST = { Point: 1, LineString: 2, Polygon: 3 };
  const POWER_LINE = "power_line";
  const KNOT_PX = 7;
  const WAIT_MS = 60000; // a file may be large and the signal weak

  OM.send = send;
  async function send(method, address, body) {
    const answer = await fetch(address, {
      method, credentials: "same-origin", headers: { Accept: "application/json", ...(body instanceof FormData ? {} : { "Content-Type": "application/json" }) },
      body: body === undefined || body instanceof FormData ? body : JSON.stringify(body), signal: AbortSignal.timeout(WAIT_MS),
    });
    if (answer.ok) return answer.status === 204 ? null : answer.json();
    const problem = await answer.json().catch(() => ({}));
    throw new Error([problem.detail || problem.title || OM.words("service_answered", { status: answer.status }), problem.todo].filter(Boolean).join(" "));
  }

  const formOf = ({ geometry: { type } }) => type.replace("Multi", "");

  class Drawing {
    constructor(app) {
      this.app = app;
      this.points = [];
      this.editing = null;
      this.removed = null;
      this.address = `${app.config.api}/farms/${encodeURIComponent(app.config.farm_id)}/farm-features`;
      this.build();
    }

    get isOpen() { return !this.panel.hidden; }

    get choice() {
      const [kind, form] = this.kinds.value.split(" ");
      return { kind, form };
    }

    build() {
      const button = (words, act, more = {}) => make("button", { type: "button", ...more, on: { click: act } }, words);
      this.kinds = make("select", { id: "orchard-draw-kind", on: { change: () => { this.points = []; this.show(); } } },
        ...CHOICES.map(([kind, form]) => make("option", { value: `${kind} ${form}` }, OM.words(`draw_${kind}_${form.toLowerCase()}`))));
      this.name = make("input", { id: "orchard-draw-name", type: "text", maxlength: 120, autocomplete: "off" });
      this.hint = make("p", { class: "hint" });
      this.problem = make("p", { class: "problem", role: "alert" });
      this.back = button(OM.words("draw_back"), () => { this.points.pop(); this.show(); });
      this.save = button(OM.words("draw_save"), () => this.keep(), { class: "main" });
      this.gone = button(OM.words("draw_take_away"), () => this.takeAway());
      this.again = button(OM.words("draw_put_back"), () => this.putBack());
      this.list = make("ul", {});
      this.panel = make("section", { id: "orchard-draw", "aria-label": OM.words("draw"), hidden: true },
        make("h2", {}, OM.words("draw")), button("\u00d7", () => this.close(), { class: "away", "aria-label": OM.words("close") }),
        make("label", { for: this.kinds.id }, OM.words("draw_kind")), this.kinds, make("label", { for: this.name.id }, OM.words("draw_name")), this.name,
        this.hint, this.problem, make("div", { class: "actions" }, this.save, this.back, this.gone, this.again), OM.fileChoice(this),
        make("h3", {}, OM.words("draw_there")), this.list);
      this.app.part("orchard-main").append(this.panel);
    }

    open() {
      const { app } = this;
      OM.closePanels(app);
      if (app.selected) app.select(null);
      this.panel.hidden = false;
      this.begin(null);
      if (!app.extent.isMoved) app.showAll();
      this.kinds.focus({ preventScroll: true });
    }

    close() {
      this.begin(null);
      this.panel.hidden = true;
      this.removed = null;
      this.app.map.getContainer().focus({ preventScroll: true });
    }

    // Begin something new, or go on with one that is there.
    begin(feature) {
      this.editing = feature;
      this.points = [];
      this.problem.textContent = "";
      this.name.value = feature ? feature.name : "";
      if (feature) this.kinds.value = `${feature.kind} ${formOf(feature)}`;
      this.show();
    }

    /** A tap while drawing: one more point. */
    tap({ lat, lng }) {
      if (this.choice.form === "Point") this.points = [];
      this.points.push([Number(lng.toFixed(7)), Number(lat.toFixed(7))]);
      this.show();
    }

    geometry() {
      const { form } = this.choice;
      if (this.points.length < LEAST[form]) return null;
      return { type: form, coordinates: form === "Point" ? this.points[0] : form === "Polygon" ? [[...this.points, this.points[0]]] : this.points };
    }

    show() {
      const { form } = this.choice;
      const isEnough = this.points.length >= LEAST[form];
      this.hint.textContent = [this.editing ? OM.words("draw_editing") : "", OM.words(`draw_hint_${form.toLowerCase()}`), OM.counted("draw_points", this.points.length)].filter(Boolean).join(" ");
      this.save.disabled = !isEnough && !this.editing;
      this.back.disabled = !this.points.length;
      this.gone.hidden = !this.editing;
      this.again.hidden = !this.removed;
      const items = this.app.ground.filter(({ kind }) => kind !== POWER_LINE).map((feature) => make("li", {},
        make("button", { type: "button", class: "plain", on: { click: () => this.begin(feature) } }, [OM.signWords(this.app.signs.features[feature.kind]), feature.name].filter(Boolean).join(": "))));
      this.list.replaceChildren(...items);
      this.app.canvasLayer.schedule();
    }

    async attempt(work, said) {
      this.problem.textContent = "";
      try {
        await work();
        await this.app.loadFeatures();
        this.begin(null);
        OM.announce(this.app, said);
      } catch (problem) {
        this.problem.textContent = problem.message;
      }
    }

    keep() {
      const geojson = this.geometry();
      const said = { kind: this.choice.kind, name: this.name.value.trim(), ...(geojson && { geojson }) };
      const { editing } = this;
      return this.attempt(() => (editing ? send("PATCH", `${this.address}/${editing.id}`, said) : send("POST", this.address, said)), OM.words("draw_saved"));
    }

    takeAway() {
      const gone = this.editing;
      return this.attempt(async () => { await send("DELETE", `${this.address}/${gone.id}`); this.removed = gone; }, OM.words("draw_taken_away"));
    }

    putBack() {
      const { kind, name, geometry } = this.removed;
      return this.attempt(async () => { await send("POST", this.address, { kind, name, geojson: geometry }); this.removed = null; }, OM.words("draw_saved"));
    }
  }

  /** Offer the drawing of tracks, gates and the like to a manager. */
  OM.offerDrawing = async (app, button) => {
    if (!app.source.isLive || app.config.embedded) return;
    const who = await send("GET", `${app.config.api}/who`).catch(() => ({}));
    const farm = (who.farms || []).find(({ id }) => id === app.config.farm_id);
    if (!farm || farm.role !== "manager") return;
    app.drawing = new Drawing(app);
    button.hidden = false;
  };

  OM.OrchardLayer.include({
    /** What is being drawn: a broken line, a knot at each point. */
    paintDraft(view) {
      const { drawing, signs } = this.app;
      if (!drawing || !drawing.isOpen) return;
      const { ctx } = this;
      const at = drawing.points.map(([lon, lat]) => [OM.worldX(lon) * view.scale - view.x, OM.worldY(lat) * view.scale - view.y]);
      ctx.beginPath();
      at.forEach(([x, y], i) => ctx[i ? "lineTo" : "moveTo"](x, y));
      if (drawing.choice.form === "Polygon" && at.length > 2) ctx.closePath();
      for (const [colour, width, dash] of [[signs.palette.sheet, 6, []], [signs.palette.again, 2.4, [7, 5]]]) {
        ctx.setLineDash(dash);
        ctx.strokeStyle = colour;
        ctx.lineWidth = width;
        ctx.stroke();
      }
      ctx.setLineDash([]);
      for (const [x, y] of at) {
        ctx.fillStyle = signs.palette.sheet;
        ctx.fillRect(x - KNOT_PX / 2 - 2, y - KNOT_PX / 2 - 2, KNOT_PX + 4, KNOT_PX + 4);
        ctx.fillStyle = signs.palette.again;
        ctx.fillRect(x - KNOT_PX / 2, y - KNOT_PX / 2, KNOT_PX, KNOT_PX);
      }
    },
  });
})();
