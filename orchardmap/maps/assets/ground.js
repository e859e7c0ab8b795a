// What lies on the farm beside its blocks: tracks, gates, water, sheds under the rows; power lines over them.
(() => {
  "use strict";
  const OM = (window.orchardMap = window.orchardMap || {});
  const POWER_LINE = "power_line";
  const GLYPH_PX = 17;
  const FAR_GLYPH_PX = 11;
  const LEAST_PX = 3;
  const POWER_PX = 18;
  const STEPS_PX = [0, 40, -40, 80, -80, 120, -120];
  const NAME_SIZE = 12;
  const NAMES_FROM_PX = 46;
  const [RIPPLE_PX, DOWN_PX] = [16, 7];

  const lineOf = (positions) => {
    const xy = new Float64Array(positions.length * 2);
    positions.forEach(([lon, lat], i) => { xy[2 * i] = OM.worldX(lon); xy[2 * i + 1] = OM.worldY(lat); });
    return xy;
  };

  const PARTS = {
    Point: (at) => ({ points: [lineOf([at])] }),
    LineString: (line) => ({ lines: [lineOf(line)] }),
    MultiLineString: (lines) => ({ lines: lines.map(lineOf) }),
    Polygon: (rings) => ({ areas: [rings.map(lineOf)] }),
    MultiPolygon: (areas) => ({ areas: areas.map((rings) => rings.map(lineOf)) }),
  };

  /** Turn a farm's features and power lines into shapes in world units. */
  OM.featuresOf = ({ features = [], power_lines: lines = [] }) => [
    ...features, ...lines.map((line) => ({ ...line, name: line.kv ? `${line.name} ${OM.count(line.kv)} kV` : line.name, kind: POWER_LINE })),
  ].filter(({ geometry }) => geometry && PARTS[geometry.type]).map(({ id, kind, name, geometry }) => {
    const parts = { points: [], lines: [], areas: [], ...PARTS[geometry.type](geometry.coordinates) };
    return { id, kind, name, geometry, ...parts, box: OM.boxOf([...parts.points, ...parts.lines, ...parts.areas.flat()]) };
  });

  const pixels = (xy, view) => {
    const at = [];
    for (let i = 0; i < xy.length; i += 2) at.push([xy[i] * view.scale - view.x, xy[i + 1] * view.scale - view.y]);
    return at;
  };

  const trace = (ctx, at) => at.forEach(([x, y], i) => ctx[i ? "lineTo" : "moveTo"](x, y));

  function stroke(ctx, colour, width, dash = []) {
    ctx.strokeStyle = colour;
    ctx.lineWidth = width;
    ctx.lineJoin = "round";
    ctx.lineCap = "butt";
    ctx.setLineDash(dash);
    ctx.stroke();
    ctx.setLineDash([]);
  }

  const FORMS = {
    rails(ctx, form, at, width, paper) {
      ctx.beginPath();
      trace(ctx, at);
      stroke(ctx, form.colour, 2 * form.shoot_px + width, [6, 3]);
      stroke(ctx, paper, 2 * form.shoot_px - width);
    },
    waves(ctx, form, at, width) {
      ctx.beginPath();
      ctx.moveTo(...at[0]);
      let side = 1;
      for (let k = 1; k < at.length; k++) {
        const [[ax, ay], [bx, by]] = [at[k - 1], at[k]];
        const length = Math.hypot(bx - ax, by - ay);
        const halves = Math.max(1, Math.round((2 * length) / form.period_px));
        for (let i = 0; i < halves && length > 0; i++) {
          const [m, e] = [(i + 0.5) / halves, (i + 1) / halves];
          const off = (2 * form.shoot_px * side) / length;
          ctx.quadraticCurveTo(ax + (bx - ax) * m - (by - ay) * off, ay + (by - ay) * m + (bx - ax) * off, ax + (bx - ax) * e, ay + (by - ay) * e);
          side = -side;
        }
      }
      stroke(ctx, form.colour, width);
    },
    // over rows, so on a little ground of its own
    wired(ctx, form, at, width, paper) {
      ctx.beginPath();
      trace(ctx, at);
      stroke(ctx, paper, width + 4);
      stroke(ctx, form.colour, width);
      ctx.beginPath();
      at.forEach(([x, y], i) => {
        const [[ax, ay], [bx, by]] = [at[Math.max(0, i - 1)], at[Math.min(at.length - 1, i + 1)]];
        const length = Math.hypot(bx - ax, by - ay) || 1;
        const [ux, uy] = [(-(by - ay) / length) * form.shoot_px, ((bx - ax) / length) * form.shoot_px];
        ctx.moveTo(x - ux, y - uy);
        ctx.lineTo(x + ux, y + uy);
      });
      stroke(ctx, paper, 5);
      stroke(ctx, form.colour, 2.2);
      ctx.fillStyle = form.colour;
      for (const [x, y] of at) { ctx.beginPath(); ctx.arc(x, y, 3.2, 0, 2 * Math.PI); ctx.fill(); }
    },
    strokes(ctx, form, at, width) {
      ctx.beginPath();
      trace(ctx, at);
      stroke(ctx, form.colour, width, [8, 2.5, 1, 2.5]);
    },
  };

  // Counted from a fixed point of the ground, so that nothing swims when the map moves.
  function ripples(ctx, [west, north, east, south], view, ink) {
    const from = { x: Math.max(west, 0), y: Math.max(north, 0) };
    const to = { x: Math.min(east, view.width), y: Math.min(south, view.height) };
    const [left, top] = [Math.floor((from.x + view.x) / RIPPLE_PX), Math.floor((from.y + view.y) / DOWN_PX)];
    ctx.beginPath();
    for (let j = top; j * DOWN_PX - view.y < to.y; j++) {
      for (let i = left - 1; i * RIPPLE_PX - view.x < to.x; i++) {
        const [x, y] = [(i + (j & 1) / 2) * RIPPLE_PX - view.x, (j + 0.5) * DOWN_PX - view.y];
        ctx.moveTo(x, y);
        ctx.quadraticCurveTo(x + 2, y - 3, x + 4, y);
        ctx.quadraticCurveTo(x + 6, y + 3, x + 8, y);
      }
    }
    stroke(ctx, ink, 1);
  }

  // From far a gate is a speck beside a ring; where nothing is known of rows yet, it is from far.
  const glyphPx = (layer, view) => (layer.usualPitch * view.scale < LEAST_PX ? FAR_GLYPH_PX : GLYPH_PX);

  const boxPx = (box, view) => box.map((value, i) => value * view.scale - (i % 2 ? view.y : view.x));

  OM.OrchardLayer.include({
    groundIn(view) {
      const isShown = (feature) => feature.kind === POWER_LINE || !this.app.hidden.has("features");
      return (this.app.ground || []).filter((feature) => {
        const [west, north, east, south] = boxPx(feature.box, view);
        return isShown(feature) && west < view.width + 20 && east > -20 && north < view.height + 20 && south > -20;
      });
    },

    /** Areas and lines lie under the rows. */
    paintGround(seen, view) {
      for (const feature of seen) if (feature.kind !== POWER_LINE) this.paintAreas(feature, view);
      for (const feature of seen) if (feature.kind !== POWER_LINE) this.paintLines(feature, view);
    },

    /** What must be seen over the rows: power lines, for they are a danger; and points. */
    paintOverhead(seen, view) {
      for (const feature of seen) {
        if (feature.kind === POWER_LINE) this.paintLines(feature, view);
        const { glyph } = this.app.signs.features[feature.kind];
        for (const at of feature.points) {
          const [[x, y]] = pixels(at, view);
          OM.drawGlyph(this.ctx, glyph, x, y, glyphPx(this, view), this.app.signs.palette.sheet);
        }
      }
    },

    paintLines(feature, view) {
      const { features, weight_px: weight, palette } = this.app.signs;
      const { line } = features[feature.kind];
      for (const xy of feature.lines) FORMS[line.form](this.ctx, line, pixels(xy, view), line.width * weight, palette.paper);
    },

    paintAreas(feature, view) {
      const { ctx } = this;
      const { features, palette } = this.app.signs;
      const { area } = features[feature.kind];
      for (const rings of feature.areas) {
        ctx.beginPath();
        for (const xy of rings) { trace(ctx, pixels(xy, view)); ctx.closePath(); }
        if (area === "roof") { ctx.fillStyle = palette.ink; ctx.fill("evenodd"); continue; }
        if (area === "yard") { stroke(ctx, palette.ink, 1.1, [8, 2.5, 1, 2.5]); continue; }
        ctx.save();
        ctx.clip("evenodd");
        ripples(ctx, boxPx(feature.box, view), view, palette.ink);
        ctx.restore();
        ctx.beginPath();
        for (const xy of rings) { trace(ctx, pixels(xy, view)); ctx.closePath(); }
        stroke(ctx, palette.ink, 1.2);
      }
    },

    /** No words over gates and the like. */
    keepPoints(seen, view, taken) {
      for (const [[x, y]] of seen.flatMap(({ points }) => points).map((at) => pixels(at, view))) {
        const half = glyphPx(this, view) / 2;
        taken.take([x - half, y - half, x + half, y + half]);
      }
    },

    /** Names of what is large enough to be meant, where nothing else stands; those of blocks and rows come first. */
    nameGround(seen, view, taken) {
      const named = seen.filter(({ name }) => name).map((feature) => ({ feature, at: this.nameSpot(feature, view) })).filter(({ at }) => at);
      const inTurn = named.sort((a, b) => b.at.room - a.at.room || (a.feature.id < b.feature.id ? -1 : 1));
      for (const { feature, at } of inTurn) {
        const half = OM.widthOf(this.ctx, feature.name, NAME_SIZE, false) / 2 + 2;
        const [over, aside] = [at.high / 2 + 9, at.wide / 2 + half + 3];
        const [along, beside] = [[[at.x, at.y + over], [at.x, at.y - over]], [[at.x + aside, at.y], [at.x - aside, at.y]]];
        // a power line is not hidden by its own name: that stands beside it, further along where there is no room at its middle
        const [ux, uy] = at.way || [0, 0];
        const off = Math.abs(uy) > Math.abs(ux) ? beside : along;
        const spots = feature.kind === POWER_LINE ? STEPS_PX.flatMap((far) => off.map(([x, y]) => [x + far * ux, y + far * uy]))
          : [...along, ...beside, ...(at.isRoomy ? [[at.x, at.y]] : [])];
        const boxAt = ([x, y]) => [x - half, y - 7, x + half, y + 7];
        const spot = spots.find((one) => taken.isFreeFor(null, boxAt(one), 0));
        if (!spot) continue;
        this.put(feature.name, boxAt(spot), taken, { size: NAME_SIZE, italic: true });
      }
    },

    // The middle of what of it is in view: a lane may begin and end far outside.
    nameSpot(feature, view) {
      if (feature.points.length) {
        const [[x, y]] = pixels(feature.points[0], view);
        return this.usualPitch * view.scale < LEAST_PX ? null : { x, y, room: 0, wide: GLYPH_PX, high: GLYPH_PX };
      }
      if (feature.areas.length) {
        const [west, north, east, south] = boxPx(feature.box, view);
        const [wide, high] = [east - west, south - north];
        return wide < NAMES_FROM_PX / 2 ? null : { x: west + wide / 2, y: north + high / 2, room: wide, wide, high };
      }
      const middle = this.middleOfLine(feature.lines, view);
      return middle && feature.kind === POWER_LINE ? { ...middle, wide: POWER_PX, high: POWER_PX } : middle;
    },

    middleOfLine(lines, view) {
      const spans = lines.flatMap((xy) => OM.shownSpans(xy, view));
      const length = spans.reduce((sum, span) => sum + span.length, 0);
      if (length < NAMES_FROM_PX) return null;
      let left = length / 2;
      for (const { x, y, ux, uy, length: run } of spans) {
        if (left <= run) return { x: x + ux * left, y: y + uy * left, room: length, wide: 4, high: 4, isRoomy: true, way: [ux, uy] };
        left -= run;
      }
      return null;
    },
  });

  /** Let the legend switch what lies on the farm off and on; power lines stay, for they are a danger. */
  OM.buildGroundChoice = (app) => {
    const section = app.part("legend-features");
    const kinds = new Set(app.ground.map(({ kind }) => kind));
    section.hidden = !kinds.size;
    const entries = [...section.querySelectorAll("li")];
    Object.keys(app.signs.features).forEach((kind, i) => { entries[i].hidden = !kinds.has(kind); });
    if (app.groundChoice) return;
    const { make } = OM;
    app.groundChoice = make("input", { type: "checkbox", checked: !app.hidden.has("features"), on: { change: () => {
      if (app.groundChoice.checked) app.hidden.delete("features");
      else app.hidden.add("features");
      app.canvasLayer.schedule();
      app.changed();
    } } });
    section.querySelector("h3").after(make("label", { class: "switch" }, app.groundChoice, OM.words("show_features")));
  };
})();
