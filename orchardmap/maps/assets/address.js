// The address says what the map shows, so that a copied link shows it again: place, day, layer, what is picked, what is looked at.
(() => {
  "use strict";
  const OM = (window.orchardMap = window.orchardMap || {});
  const { make } = OM;
  const QUIET_MS = 250;
  const OURS = ["day", "layer", "at", "block", "row", "area", "blocks", "crew", "hide"];

  const rounded = (value, digits) => String(Number(value.toFixed(digits)));

  /** Read a place as "longitude,latitude,zoom"; null where it is none. */
  OM.placeOfText = (text) => {
    const [lon, lat, zoom, ...more] = (text || "").split(",").map((part) => (part.trim() === "" ? NaN : Number(part)));
    const isPlace = !more.length && Math.abs(lon) <= 180 && Math.abs(lat) <= 85 && zoom >= 0 && zoom <= 22;
    return isPlace ? { lon, lat, zoom } : null;
  };

  OM.Address = class {
    constructor(app) {
      this.app = app;
      // a page opened from disk has no address of its own to keep
      this.isKept = app.source.isLive;
      app.map.on("moveend", () => this.changed());
      this.field = make("input", { id: "orchard-link", type: "text", readonly: true, "aria-label": OM.words("link"), hidden: true });
    }

    /** Show what the address asks for; without a place the whole farm. */
    open() {
      const asked = new URLSearchParams(location.search);
      const place = OM.placeOfText(asked.get("at"));
      const { app } = this;
      app.showAll(false);
      if (place) app.extent.showPlace(place);
      const block = app.byId.get(asked.get("block"));
      if (place && block) app.pick(block, Number(asked.get("row")) || null, asked.get("area"));
      else app.goToNamed(asked.get("block"), asked.get("area"), Number(asked.get("row")) || null);
    }

    /** The place as text; empty while the whole farm is fitted, which every screen does by itself. */
    place() {
      if (!this.app.extent.isMoved) return "";
      const { lat, lng } = this.app.map.getCenter();
      return [rounded(lng, 6), rounded(lat, 6), rounded(this.app.map.getZoom(), 2)].join(",");
    }

    query() {
      const { app } = this;
      const { look, selected } = app;
      const query = new URLSearchParams(location.search);
      const said = {
        day: app.day === (app.farm.today || "") ? "" : app.day,
        layer: app.layer === "progress" ? "" : app.layer,
        at: this.place(),
        block: selected ? selected.block.id : "",
        row: selected && selected.row ? String(selected.row.number) : "",
        area: (selected && selected.area) || "",
        blocks: look.blocks ? [...look.blocks].join(",") : "",
        crew: look.crew || "",
        hide: app.hidden ? [...app.hidden].join(",") : "",
      };
      for (const name of OURS) {
        if (said[name]) query.set(name, said[name]);
        else query.delete(name);
      }
      return query;
    }

    changed() {
      if (!this.isKept || this.waiting) return;
      this.waiting = setTimeout(() => { this.waiting = 0; this.write(); }, QUIET_MS);
    }

    write() {
      const words = `${location.pathname}?${this.query()}`.replace(/%2C/g, ",");
      if (words !== location.pathname + location.search) history.replaceState(null, "", words);
    }

    /** The link to what is shown: a page of its own, and the day that is shown stays that day tomorrow. */
    link() {
      const query = this.query();
      query.delete("embedded");
      query.set("day", this.app.day);
      return `${location.origin}${location.pathname}?${query}`.replace(/%2C/g, ",");
    }

    /** Copy the link. Where the browser lets no page copy, the link is shown to be copied by hand. */
    async copy() {
      const { app, field } = this;
      field.value = this.link();
      try {
        await navigator.clipboard.writeText(field.value);
        field.hidden = true;
        app.tell(OM.words("link_copied"));
      } catch {
        field.hidden = false;
        field.focus();
        field.select();
        app.tell(OM.words("copy_by_hand"));
      }
    }
  };
})();
