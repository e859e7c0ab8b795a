// The hand that draws: line forms, rings, buds, all from the legend's data. It knows no block and no page.
(() => {
  "use strict";
  const OM = (window.orchardMap = window.orchardMap || {});
  const FACE = "'Segoe UI', Roboto, 'Noto Sans', 'Liberation Sans', 'DejaVu Sans', sans-serif";
  const SERIF = "'Iowan Old Style', 'Palatino Linotype', Palatino, 'Book Antiqua', 'URW Palladio L', P052, Georgia, serif";
  const fontOf = (size, bold) => `${bold ? `700 ${size}px ${SERIF}` : `${size}px ${FACE}`}`;

  /** The width of the heavy line where rows are so many pixels apart. */
  OM.weightAt = (pitchPx) => Math.max(1.7, Math.min(8, pitchPx * 0.36));

  // The stretch of a straight piece that is on the canvas, as distances from its start.
  function shown(ax, ay, ux, uy, length, view) {
    let from = 0;
    let to = length;
    for (const [at, step, end] of [[ax, ux, view.width], [ay, uy, view.height]]) {
      const low = -12 - at;
      const high = end + 12 - at;
      if (Math.abs(step) < 1e-9) { if (low > 0 || high < 0) return null; continue; }
      from = Math.max(from, Math.min(low / step, high / step));
      to = Math.min(to, Math.max(low / step, high / step));
    }
    return to > from ? [from, to] : null;
  }

  // Visit every piece of a stretch that can be seen: start, direction, and what of it is shown.
  function eachPiece(xy, view, visit) {
    let travelled = 0;
    for (let i = 2; i < xy.length; i += 2) {
      const ax = xy[i - 2] * view.scale - view.x;
      const ay = xy[i - 1] * view.scale - view.y;
      const dx = xy[i] * view.scale - view.x - ax;
      const dy = xy[i + 1] * view.scale - view.y - ay;
      const length = Math.hypot(dx, dy);
      if (length === 0) continue;
      const span = shown(ax, ay, dx / length, dy / length, length, view);
      if (span) visit({ ax, ay, ux: dx / length, uy: dy / length, length, from: span[0], to: span[1], travelled });
      travelled += length;
    }
  }

  // Visit every period of a stretch; counted from its start, so that nothing swims when the map moves.
  function eachStep(xy, view, period, lead, visit) {
    eachPiece(xy, view, (piece) => {
      const { ax, ay, ux, uy, length, from, to, travelled } = piece;
      for (let k = Math.max(0, Math.floor((travelled + from - lead) / period)); ; k++) {
        const at = k * period + lead - travelled;
        if (at > to) break;
        if (at >= -1e-6 && at < length) visit(ax + ux * at, ay + uy * at, ux, uy, length - at, k);
      }
    });
  }

  /** The pieces of a line that can be seen: where each begins, which way it runs, how long it is, in pixels. */
  OM.shownSpans = (xy, view) => {
    const spans = [];
    eachPiece(xy, view, ({ ax, ay, ux, uy, from, to }) => spans.push({ x: ax + ux * from, y: ay + uy * from, ux, uy, length: to - from }));
    return spans;
  };

  function tracePlain(ctx, stretches, view) {
    ctx.beginPath();
    for (const xy of stretches) {
      eachPiece(xy, view, ({ ax, ay, ux, uy, from, to }) => {
        ctx.moveTo(ax + ux * from, ay + uy * from);
        ctx.lineTo(ax + ux * to, ay + uy * to);
      });
    }
  }

  function strokePlain(ctx, stretches, view, colour, width) {
    tracePlain(ctx, stretches, view);
    ctx.strokeStyle = colour;
    ctx.lineWidth = width;
    ctx.lineCap = "butt";
    ctx.stroke();
  }

  function strokeCaps(ctx, stretches, view, reach, colour, width = Math.max(1.2, reach * 0.32)) {
    ctx.beginPath();
    for (const xy of stretches) {
      for (const [i, j] of [[0, 2], [xy.length - 2, xy.length - 4]]) {
        const x = xy[i] * view.scale - view.x;
        const y = xy[i + 1] * view.scale - view.y;
        const turn = Math.atan2(xy[j + 1] - xy[i + 1], xy[j] - xy[i]) + Math.PI / 2;
        ctx.moveTo(x - reach * Math.cos(turn), y - reach * Math.sin(turn));
        ctx.lineTo(x + reach * Math.cos(turn), y + reach * Math.sin(turn));
      }
    }
    ctx.strokeStyle = colour;
    ctx.lineWidth = width;
    ctx.lineCap = "butt";
    ctx.stroke();
  }

  const FORMS = {
    solid(ctx, form, stretches, view, weight) {
      strokePlain(ctx, stretches, view, form.colour, weight * form.width);
    },
    twig(ctx, form, stretches, view, weight, size) {
      const period = Math.max(8, form.period_px * size);
      const stem = (period * form.stem_px) / form.period_px;
      const shoot = form.shoot_px * size;
      ctx.beginPath();
      for (const xy of stretches) {
        eachStep(xy, view, period, 1, (x, y, ux, uy, room, k) => {
          const run = Math.min(stem, room);
          ctx.moveTo(x, y);
          ctx.lineTo(x + ux * run, y + uy * run);
          const at = stem * 0.45;
          if (shoot < 2.9 || at + shoot > room) return;
          const side = k % 2 ? shoot : -shoot;
          ctx.moveTo(x + ux * at, y + uy * at);
          ctx.lineTo(x + ux * (at + shoot * 0.9) - uy * side, y + uy * (at + shoot * 0.9) + ux * side);
        });
      }
      ctx.strokeStyle = form.colour;
      ctx.lineWidth = Math.max(1, weight * form.width);
      ctx.lineCap = "round";
      ctx.stroke();
    },
    cased(ctx, form, stretches, view, weight, size, paper) {
      // two crews on the same trees is what a manager looks for: never thinner than can be seen among close rows
      const width = Math.max(9, weight * form.width);
      const reach = Math.max(width, form.shoot_px * size);
      strokePlain(ctx, stretches, view, paper, width + 3);
      strokePlain(ctx, stretches, view, form.colour, width);
      strokePlain(ctx, stretches, view, paper, width * 0.4);
      strokeCaps(ctx, stretches, view, reach + 1.5, paper, 5);
      strokeCaps(ctx, stretches, view, reach, form.colour, 2.4);
    },
    ticked(ctx, form, stretches, view, weight, size) {
      strokePlain(ctx, stretches, view, form.colour, weight * form.width);
      const reach = Math.max(2.6, form.shoot_px * size);
      ctx.beginPath();
      for (const xy of stretches) {
        eachStep(xy, view, Math.max(8, form.period_px * size), 6 * size, (x, y, ux, uy) => {
          const lean = reach * 0.45;
          ctx.moveTo(x - ux * lean - uy * reach, y - uy * lean + ux * reach);
          ctx.lineTo(x + ux * lean + uy * reach, y + uy * lean - ux * reach);
        });
      }
      ctx.lineWidth = Math.max(1, 1.7 * size);
      ctx.stroke();
    },
    dotted(ctx, form, stretches, view, weight, size) {
      ctx.beginPath();
      for (const xy of stretches) {
        eachStep(xy, view, Math.max(5, form.period_px * size), 3, (x, y) => {
          ctx.moveTo(x, y);
          ctx.lineTo(x + 0.01, y);
        });
      }
      ctx.strokeStyle = form.colour;
      ctx.lineWidth = Math.max(1.8, weight * form.width * 1.3);
      ctx.lineCap = "round";
      ctx.stroke();
      strokeCaps(ctx, stretches, view, Math.max(2.4, form.shoot_px * size), form.colour);
    },
  };

  /** Draw stretches of row in one of the legend's line forms. */
  OM.strokeStretches = (ctx, signs, key, stretches, view, weight) => {
    if (!stretches.length) return;
    const form = signs.lines[key];
    const size = Math.max(0.4, Math.min(1.5, weight / signs.weight_px));
    FORMS[form.form](ctx, form, stretches, view, weight, size, signs.palette.paper);
  };

  const paths = new Map();
  const pathOf = (data) => {
    if (!paths.has(data)) paths.set(data, new Path2D(data));
    return paths.get(data);
  };

  /** Draw a bud, a pith or a place with its middle at a point, so many pixels high. */
  OM.drawGlyph = (ctx, glyph, x, y, heightPx, ground) => {
    const scale = heightPx / 22;
    ctx.save();
    ctx.translate(x, y);
    ctx.scale(scale, scale);
    ctx.lineJoin = "round";
    ctx.lineCap = "round";
    if (!glyph.outline) { ctx.restore(); return; }
    if (ground) {
      ctx.lineWidth = 5;
      ctx.strokeStyle = ground;
      ctx.stroke(pathOf(glyph.outline));
      if (glyph.strokes) ctx.stroke(pathOf(glyph.strokes));
    }
    ctx.fillStyle = ground || "#ffffff00";
    ctx.fill(pathOf(glyph.outline));
    ctx.fillStyle = ctx.strokeStyle = glyph.colour;
    if (glyph.filled) ctx.fill(pathOf(glyph.filled));
    ctx.lineWidth = Math.max(1.8, 1.1 / scale);
    ctx.stroke(pathOf(glyph.outline));
    ctx.lineWidth = Math.max(2.2, 1.3 / scale);
    if (glyph.strokes) ctx.stroke(pathOf(glyph.strokes));
    ctx.restore();
  };

  /** Write words with a halo of the ground, so that lines under them do not spoil them. Bold words are names: in the plan's serif face. */
  OM.write = (ctx, signs, words, x, y, { size = 13, bold = false, italic = false, align = "left", base = "middle" } = {}) => {
    ctx.font = `${italic ? "italic " : ""}${fontOf(size, bold)}`;
    ctx.textAlign = align;
    ctx.textBaseline = base;
    ctx.lineJoin = "round";
    ctx.lineWidth = 3.5;
    ctx.strokeStyle = signs.palette.paper;
    ctx.strokeText(words, x, y);
    ctx.fillStyle = signs.palette.ink;
    ctx.fillText(words, x, y);
  };

  /** A light ground under words that stand on rows, between which they could not be read. */
  OM.drawPlate = (ctx, signs, [left, top, right, bottom]) => {
    ctx.globalAlpha = 0.88;
    ctx.fillStyle = signs.palette.sheet;
    ctx.beginPath();
    ctx.roundRect(left, top + 1, right - left, bottom - top - 2, 4);
    ctx.fill();
    ctx.globalAlpha = 1;
  };

  const widths = new Map();
  /** The width in pixels of some words, remembered. */
  OM.widthOf = (ctx, words, size, bold) => {
    const key = `${size}${bold}${words}`;
    if (!widths.has(key)) {
      if (widths.size > 5000) widths.clear();
      ctx.font = fontOf(size, bold);
      widths.set(key, ctx.measureText(words).width);
    }
    return widths.get(key);
  };
})();
