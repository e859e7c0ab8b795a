// What the canvas shows of blocks from far: rings, and beside each its code and one figure.
(() => {
  "use strict";
  const OM = (window.orchardMap = window.orchardMap || {});
  const PLANS_KEPT = 6; // some MB each on a farm of 600 blocks

  OM.OrchardLayer.include({
    /** The figure beside a block's code: what the chosen layer is about. Empty where there is nothing to say. */
    figure(facts) {
      if (this.app.layer === "remaining") return facts.pruned < facts.trees ? OM.count(facts.trees - facts.pruned) : OM.words("done");
      if (this.app.layer !== "quality") return OM.percent(facts.pruned, facts.trees);
      return facts.drawn ? this.faultyOf(facts) : "";
    },

    faultyOf(facts) { return `${OM.count(facts.drawn_faulty)}/${OM.count(facts.drawn)}`; },

    /** Draw the rings, the smallest on top, and return where they stand. */
    paintRings(blocks, view) {
      if (!blocks.length) return [];
      const { byBlock } = this.planAt(view);
      const placed = blocks.map((block) => this.place(byBlock.get(block), view)).sort((a, b) => b.radius - a.radius);
      for (const { block, x, y, radius, ring } of placed) {
        this.ctx.globalAlpha = this.app.look.alphaOf(block);
        OM.drawRing(this.ctx, this.app.signs, x, y, radius, ring);
        this.rings.push({ block, x, y, radius });
      }
      this.ctx.globalAlpha = 1;
      return placed;
    },

    // A seat on the screen, with what is to be written on it now.
    place(item, view) {
      const { block, seat, radius } = item;
      const facts = this.app.look.factsOf(block);
      return { block, item, radius, seat, ring: this.ringOf(facts), words: this.wordsOf(facts), x: seat.ring.x - view.x, y: seat.ring.y - view.y };
    },

    /** Write the words of blocks, whether their rows or their rings are drawn. Words that keep their seat at this zoom do so before others look for a place. */
    nameBlocks(named, taken) {
      const all = this.inTurn(named.filter(({ block }) => this.app.look.has(block)));
      const chosen = this.app.selected && this.app.selected.block;
      const [first, rest] = all.length && all[0].block === chosen ? [all.slice(0, 1), all.slice(1)] : [[], all];
      for (const it of first) this.nameOne(it, taken);
      for (const it of rest) {
        const box = it.item && this.boxOf(it.seat);
        it.isKept = Boolean(box) && taken.isFree(box);
        if (it.isKept) taken.take(box);
      }
      for (const it of rest) this.nameOne(it, taken);
    },

    nameOne(it, taken) {
      if (it.boxes) this.nameRows(it, taken);
      else this.nameRing(it, taken);
    },

    paintSquare({ block, item, x, y }, taken) {
      if (!item.square || !this.showsQuality()) return;
      const [left, top, right, bottom] = item.square({ x, y });
      taken.take(OM.drawSquare(this.ctx, this.app.signs, (left + right) / 2, (top + bottom) / 2));
    },

    /** Where all rings and words stand at this zoom. Whether something that it hangs on is another is looked at anew only where the farm, the day, the look or the ground is. */
    planAt(view) {
      const { app } = this;
      const basis = [view.scale, app.layer, app.list, app.look.blocks, app.look.figures, app.ground, app.hidden.has("features"),
        app.list.filter(({ shape }) => shape).length, app.list.some(({ shapeAsked }) => shapeAsked)];
      if (!this.plan || !this.basis || basis.some((one, i) => one !== this.basis[i])) {
        this.plan = this.planFor(view);
        this.basis = basis;
      }
      return this.plan;
    },

    // The plan of a zoom that was looked at before is kept, so that going back costs nothing.
    planFor(view) {
      const { app } = this;
      const factor = OM.ringFactor(app.list, view.scale, app.gap);
      const steady = app.list.map((block) => this.toSeat(block)).sort((a, b) => b.facts.trees - a.facts.trees || (a.facts.code < b.facts.code ? -1 : 1));
      const isGround = !app.hidden.has("features");
      const key = [view.scale, factor, isGround, ...steady.map((it) => it.key)].join("|");
      const shapes = app.list.map(({ shape }) => (shape ? shape.version : "-")).join("|");
      // outlines come one by one: until the last is here, what was found without them will do
      const isWaiting = app.list.some(({ shapeAsked }) => shapeAsked);
      const [rankOf, nowKey] = this.nowOf(steady);
      const plan = this.plans.get(view.scale);
      const isGood = plan && plan.key === key && plan.ground === app.ground && (plan.isWhole || plan.nowKey === nowKey) && (isWaiting || plan.shapes === shapes) && app.list.every((block) => plan.byBlock.has(block));
      if (isGood) return plan;
      const made = (share, size) => steady.map((it) => OM.farItem(it.block, this.itemOf(it, factor * share, size, view.scale)));
      const ground = (app.ground || []).filter(({ kind }) => isGround || kind === "power_line");
      const found = OM.planFar(made, { rankOf, ground, scale: view.scale, isQuick: isWaiting });
      const fresh = { isWhole: found.isWhole, share: found.share, key, shapes: isWaiting ? "" : shapes, nowKey, ground: app.ground, byBlock: new Map(found.items.map((it) => [it.block, it])) };
      this.plans.delete(view.scale);
      this.plans.set(view.scale, fresh);
      if (this.plans.size > PLANS_KEPT) this.plans.delete(this.plans.keys().next().value);
      return fresh;
    },

    // Who comes first now, and the words of now: seats hang on them only where there is not room for all.
    nowOf(steady) {
      const order = this.inTurn(steady, false);
      return [new Map(order.map(({ block }, i) => [block, i])), order.map(({ block, words }) => [block.id, ...(words || []).map((one) => Math.ceil(OM.widthOf(this.ctx, one, 13, false)))]).join("|")];
    },

    // What the seat of a block hangs on beside its ground: the widest words that it may have on any layer, so that rings and words stay where they are from day to day.
    toSeat(block) {
      const facts = this.app.look.factsOf(block);
      const hasWords = this.app.look.has(block);
      const most = hasWords ? this.widestOf(facts) : [];
      const hasSquare = Boolean(facts.weak && hasWords);
      const wide = most.length ? Math.ceil(this.widestPx(most, 13)) : 0;
      return { block, facts, words: hasWords ? this.wordsOf(facts) : null, most, hasSquare, key: [block.id, facts.code, facts.trees, Boolean(facts.closed), hasSquare, wide].join() };
    },

    widestOf(facts) {
      return [OM.percent(1, 1), OM.count(facts.trees), OM.words("done"), ...(facts.drawn ? [this.faultyOf(facts)] : [])];
    },

    widestPx(words, size) { return Math.max(...words.map((one) => OM.widthOf(this.ctx, one, size, false))); },

    itemOf({ facts, words, most, hasSquare }, factor, size, scale) {
      const now = this.widthsOf(words || [], size);
      const widest = words ? [now[0], this.widestPx(most, OM.FAR_SIZES[size].figure)] : [];
      return { radius: OM.radiusOf(facts, factor), ring: this.ringOf(facts), scale, size, hasSquare, most: widest, now };
    },

    /** How wide a code and its figure are. */
    widthsOf(words, size) {
      const { code, figure } = OM.FAR_SIZES[size];
      return words.map((one, i) => OM.widthOf(this.ctx, one, i ? figure : code, !i));
    },

    // Whose words come first where there is no room for all: the chosen block, work that somebody must see to, then the largest; by code where all is alike.
    inTurn(named, isChosenFirst = true) {
      const chosen = isChosenFirst && this.app.selected && this.app.selected.block;
      const isNeedy = ({ verdict, overlap, again, weak }) => verdict === "send_back" || overlap || again || weak;
      const rank = ({ block: { facts }, block }) => {
        if (block === chosen) return 0;
        if (this.app.layer === "remaining") return facts.pruned < facts.trees ? 1 : 2;
        if (this.app.layer === "quality") return facts.verdict === "send_back" ? 1 : facts.drawn ? 2 : 3;
        return isNeedy(facts) ? 1 : 2;
      };
      const order = (a, b) => rank(a) - rank(b) || b.block.facts.trees - a.block.facts.trees || (a.block.facts.code < b.block.facts.code ? -1 : 1);
      return [...named].sort(order);
    },

    wordsOf(facts) {
      const figure = this.figure(facts);
      return figure ? [facts.code, figure] : [facts.code];
    },

    ringOf(facts) {
      const { piths } = this.app.signs;
      const isBegun = facts.pruned > 0;
      const shared = { hasOverlap: facts.overlap > 0, hasAgain: facts.again > 0, isClosed: Boolean(facts.closed) };
      const share = facts.trees ? facts.pruned / facts.trees : 0;
      const pith = isBegun ? piths[facts.verdict] : null;
      if (this.app.layer === "remaining") return { ...shared, share: 1 - share, arc: "to_prune", rest: "finished", pith: null };
      if (this.app.layer === "quality") {
        const faulty = facts.drawn ? facts.drawn_faulty / facts.drawn : 0;
        return { ...shared, hasOverlap: false, share: faulty, arc: "faulty", rest: facts.drawn ? "sound" : "unchecked", pith: facts.drawn ? pith : null };
      }
      return { ...shared, share, arc: "pruned", rest: "to_prune", pith };
    },

    // Words without their seat, for the edge of the map or a button is there, stand elsewhere round the same ring; where there is no room for the figure, the code alone.
    nameRing(it, taken) {
      const { item, seat, isKept } = it;
      const isChosen = this.app.selected && this.app.selected.block === item.block;
      const found = isKept ? seat : this.otherSeat(it, taken) || (isChosen && (seat.box ? seat : item.seats[0]));
      if (!found) return;
      const now = OM.formsOf(this.widthsOf(it.words, item.size), item.size);
      this.writeLabel({ ...it, form: found.form }, this.boxOf(OM.narrowed(item, found, now[found.form] || now.code)), taken);
    },

    otherSeat({ item, seat, block }, taken) {
      const isFree = (one) => one.ring.x === seat.ring.x && one.ring.y === seat.ring.y && taken.isFreeFor(block, this.boxOf(one), one.away)
        && item.near.every((other) => !OM.isAtRing(one, other, other.seat) && !(item.isOfMany && OM.isUnderOther(one, other, other.seat)));
      return item.seats.find(isFree) || (item.codes ||= OM.seatsOf(item, ["code"])).find(isFree);
    },

    boxOf({ box }) {
      const { x, y } = this.view;
      return box && [box[0] - x, box[1] - y, box[2] - x, box[3] - y];
    },

    writeLabel({ block, words, item, form }, box, taken) {
      const { code, figure, codeAt, figureAt } = OM.FAR_SIZES[item.size];
      const [left, top, right, bottom] = box;
      const middle = (left + right) / 2;
      const told = form === "code" ? words.slice(0, 1) : words;
      taken.take(box);
      this.labels.push({ words: told.join(" "), box });
      if (form === "one" && told[1]) {
        this.write(told[0], left, top + codeAt, { bold: true, size: code });
        this.write(told[1], right, top + codeAt, { size: figure, align: "right" });
        return;
      }
      this.write(told[0], middle, told[1] ? top + codeAt : (top + bottom) / 2, { bold: true, size: code, align: "center" });
      if (told[1]) this.write(told[1], middle, top + figureAt, { size: figure, align: "center" });
    },
  });
})();
