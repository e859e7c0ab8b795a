// How much of the farm is shown: the whole of it, one block, and the limits of wandering off.
(() => {
  "use strict";
  const OM = (window.orchardMap = window.orchardMap || {});
  const NEAREST_ZOOM = 21;
  const WHOLE_ZOOM = 19;
  const ROW_PX = 4.2;
  // a card may take nearly all of a telephone: what is shown then needs some room all the same
  const FOOT_SHARE = 0.62;

  OM.Extent = class {
    constructor(app) {
      this.app = app;
      this.map = app.map;
      this.isMoved = false;
      this.isOwn = false;
      // once somebody chose where to look, turning the tablet must not take it away
      this.map.on("movestart", () => { if (!this.isOwn) this.isMoved = true; });
      this.map.on("moveend", () => { this.isOwn = false; });
    }

    bounds() {
      const boxes = this.app.list.map(({ facts }) => facts.bbox);
      if (!boxes.length) return null;
      return L.latLngBounds([Math.min(...boxes.map((b) => b[1])), Math.min(...boxes.map((b) => b[0]))],
        [Math.max(...boxes.map((b) => b[3])), Math.max(...boxes.map((b) => b[2]))]);
    }

    /** Whether some of a block is in view. */
    holds({ facts }) {
      const [west, south, east, north] = facts.bbox;
      return this.map.getBounds().intersects([[south, west], [north, east]]);
    }

    /** Room for the buttons on the left, and for what lies over the map on the right or along the foot. */
    padding() {
      const { app } = this;
      const card = app.part("orchard-card");
      const drawing = app.drawing && app.drawing.isOpen ? app.drawing.panel : null;
      const isAside = !card.hidden || !app.part("orchard-legend").hidden || drawing;
      const foot = drawing || (card.hidden ? null : card);
      const isNarrow = OM.isNarrow(app);
      return {
        paddingTopLeft: [isNarrow ? 66 : 76, Math.min((isNarrow ? 12 : 24) + this.choiceHeight(), this.map.getSize().y / 4)],
        paddingBottomRight: [isAside && !isNarrow ? 344 : 14, isNarrow ? (foot ? Math.min(foot.offsetHeight + 12, FOOT_SHARE * this.map.getSize().y) : 14) : 34],
      };
    }

    /** How far what stands over the map reaches into it from above; 0 where there is nothing. */
    choiceHeight() { return this.app.part("orchard-over").offsetHeight; }

    wholeZoom(bounds) {
      const { paddingTopLeft: [left, top], paddingBottomRight: [right, bottom] } = this.padding();
      return Math.min(WHOLE_ZOOM, this.map.getBoundsZoom(bounds, false, L.point(left + right, top + bottom)));
    }

    /** The farm is never smaller than half the size that fits, and never out of sight. */
    limit() {
      const { map } = this;
      const bounds = this.bounds();
      const size = map.getSize();
      if (!bounds || !size.x || !size.y) return;
      const least = Math.max(0, this.wholeZoom(bounds) - 1);
      const middle = map.project(bounds.getCenter(), least);
      const half = size.divideBy(2).add([2, 2]);
      map.options.maxBoundsViscosity = 1;
      map.setMaxBounds(null);
      map.setMinZoom(least);
      map.setMaxZoom(NEAREST_ZOOM);
      map.setMaxBounds(L.latLngBounds(map.unproject(middle.subtract(half), least), map.unproject(middle.add(half), least)));
    }

    showAll(isSmooth = true) {
      const bounds = this.bounds();
      if (!bounds) return;
      this.limit();
      this.isOwn = true;
      this.map.fitBounds(bounds, { ...this.padding(), animate: isSmooth, maxZoom: WHOLE_ZOOM });
      this.isMoved = false;
    }

    /** Show a place of an address. */
    showPlace({ lon, lat, zoom }) {
      this.isMoved = true;
      this.map.setView([lat, lon], zoom, { animate: false });
    }

    showBlock(block, isSmooth = true) {
      const [west, south, east, north] = block.facts.bbox;
      this.showPart(L.latLngBounds([south, west], [north, east]), block, { nearer: 1, isSmooth });
    }

    showArea(block, area) {
      const [[west, south], [east, north]] = [Math.min, Math.max].map((most) => [0, 1].map((i) => most(...area.ring.map((at) => at[i]))));
      this.showPart(L.latLngBounds([south, west], [north, east]), block, { nearer: Infinity, isSmooth: true });
    }

    /** Bring a row into view, near enough that it could be tapped. */
    showRow(block, row) {
      const [west, north, east, south] = row.box.map((value, i) => (i % 2 ? OM.latOf(value) : OM.lonOf(value)));
      const zoom = Math.min(20, Math.max(this.map.getZoom(), Math.ceil(10 * Math.log2(ROW_PX / block.shape.pitch)) / 10));
      const bounds = L.latLngBounds([south, west], [north, east]);
      this.isMoved = true;
      const isIn = zoom === this.map.getZoom() && this.map.getBounds().pad(-0.1).contains(bounds.getCenter());
      if (!isIn) this.map.setView(bounds.getCenter(), zoom);
    }

    /** Bring a part of a block into view, up to so many zooms nearer than it fits for its rows to be drawn. */
    showPart(bounds, block, { nearer, isSmooth }) {
      const { paddingTopLeft: [left, top], paddingBottomRight: [right, bottom] } = this.padding();
      const fits = this.map.getBoundsZoom(bounds, false, L.point(left + right, top + bottom));
      // near enough that rows are drawn, even where the whole is then a little larger than its frame
      const rows = block.shape ? Math.log2(ROW_PX / block.shape.pitch) : fits;
      const zoom = Math.min(20, Math.max(fits, Math.min(fits + nearer, Math.ceil(10 * rows) / 10)));
      const middle = this.map.project(bounds.getCenter(), zoom).add([(right - left) / 2, (bottom - top) / 2]);
      this.isMoved = true;
      this.map.setView(this.map.unproject(middle, zoom), zoom, isSmooth ? {} : { animate: false });
    }

    /** Keep the point of a choice out from under the card that opens along the foot. */
    uncover(latlng) {
      const card = this.app.part("orchard-card");
      if (card.hidden || !latlng || !OM.isNarrow(this.app)) return;
      const over = this.map.latLngToContainerPoint(latlng).y - (this.map.getSize().y - card.offsetHeight - 56);
      if (over <= 0) return;
      this.isOwn = true;
      this.map.panBy([0, over], { animate: false });
    }

    /** Fit again when the frame changes, as on turning a tablet, unless somebody chose where to look. */
    follow(room) {
      let wasNarrow = OM.isNarrow(this.app);
      new ResizeObserver(() => {
        if (this.isHeld) return; // laid out for paper
        const isNarrow = OM.isNarrow(this.app);
        if (isNarrow && !wasNarrow) OM.closePanels(this.app);
        wasNarrow = isNarrow;
        // what was chosen to be looked at stays in the middle
        this.map.invalidateSize({ pan: this.isMoved, animate: false });
        if (this.isMoved) this.limit();
        else this.showAll(false);
      }).observe(room);
    }
  };
})();
