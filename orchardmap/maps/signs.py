"""Every colour, line form, glyph and word that a map, a picture or a sheet is drawn with.

Wood and rings: a row is a branch (heavy and unbroken once pruned, a thin twig before), a block seen
from far is a cut stem whose ring closes clockwise from north, a check is a bud. Colour never carries
meaning alone, so black-and-white print loses nothing.

Lengths in the line forms are shares of the *weight*, the width of the heavy line; glyph paths are SVG
path data in a box from -12 to 12 with y downwards.
"""

from dataclasses import dataclass
from typing import Final

PAPER: Final = "#F6F3EA"
SHEET: Final = "#FFFDF6"
"""Ground of panels and of the wood inside a ring, a little lighter than paper."""
INK: Final = "#23272B"
PRUNED: Final = "#003C72"
TO_PRUNE: Final = "#AC762B"
AGAIN: Final = "#9E3D57"
CLOSED: Final = "#8B8C8D"

MEANING_COLOURS: Final = {"pruned": PRUNED, "to_prune": TO_PRUNE, "again": AGAIN, "closed": CLOSED}
"""The colours that stand beside one another in rows and rings."""
PALETTE: Final = {"paper": PAPER, "sheet": SHEET, "ink": INK, **MEANING_COLOURS}
NIGHT_MEANING_COLOURS: Final = {
    "pruned": "#8FC8FF",
    "to_prune": "#A98A20",
    "again": "#FF78B8",
    "closed": "#6F7276",
}
"""The same meanings on a dark ground, for a tablet before sunrise."""
NIGHT_PALETTE: Final = {"paper": "#15191C", "sheet": "#20262A", "ink": "#F4EFE2", **NIGHT_MEANING_COLOURS}


@dataclass(frozen=True, slots=True)
class LineForm:
    """How a stretch of row is drawn.

    ``form`` is solid, twig (stems with side shoots), cased (two rails and a paper core), ticked
    (solid, crossed by oblique ticks) or dotted (round dots between end caps). ``width`` is a share
    of the weight; ``period``, ``stem``, ``shoot`` and ``cap`` are pixels at a weight of 5.
    """

    key: str
    words: str
    form: str
    colour: str
    width: float
    period: float = 0.0
    """Distance from one stem, tick or dot to the next."""
    stem: float = 0.0
    """Length of a stem in its period; the rest is gap."""
    shoot: float = 0.0
    """How far side shoots, ticks and end caps reach to each side."""


@dataclass(frozen=True, slots=True)
class Hatching:
    """How a patch of ground is drawn, over its rows: lines aslant to them, and an edge round all.

    ``period`` is from line to line and ``width`` of a line, both in pixels at a weight of 5.
    """

    key: str
    words: str
    colour: str
    period: float
    width: float
    is_crossed: bool = False
    """Lines the other way too."""


@dataclass(frozen=True, slots=True)
class Glyph:
    """A bud or a pith: an outline, what of it is filled, and strokes across it."""

    key: str
    words: str
    colour: str
    outline: str
    filled: str = ""
    strokes: str = ""


LINES: Final = (
    LineForm("pruned", "pruned", "solid", PRUNED, 1.0),
    LineForm("to_prune", "still to prune", "twig", TO_PRUNE, 0.34, period=17.0, stem=12.0, shoot=3.6),
    LineForm("overlap", "overlap of two crews", "cased", PRUNED, 1.7, shoot=6.5),
    LineForm("again", "to go over again", "ticked", AGAIN, 0.9, period=13.0, shoot=5.5),
    LineForm("closed", "closed, nobody may enter", "dotted", CLOSED, 0.46, period=7.0, shoot=5.0),
)
"""In the order they are drawn, the last on top; ``closed`` takes the place of ``to_prune``."""

KIND_KEYS: Final = {0: "to_prune", 1: "pruned", 2: "overlap", 3: "again"}
"""The numbers that stand for line forms in a block's state."""

PATCHES: Final = (
    Hatching("suspect", "more faults than by chance", INK, period=9.0, width=1.1),
    Hatching("confirmed", "confirmed by new checks", INK, period=13.0, width=1.1, is_crossed=True),
)
"""By the state of a weak area. Ink alone: a form that no row has, so print and every eye keep it."""

_BUD = "M0,-11 C4.6,-6.6 6.3,-1 5,4.2 C4.2,7.4 2.4,9.4 0,10.5 C-2.4,9.4 -4.2,7.4 -5,4.2 C-6.3,-1 -4.6,-6.6 0,-11 Z"
_BUD_LEFT = "M0,-11 L0,10.5 C-2.4,9.4 -4.2,7.4 -5,4.2 C-6.3,-1 -4.6,-6.6 0,-11 Z"
_BUD_OPEN = (
    "M-7,-10.5 C-3,-8.6 -0.8,-5 0,-1.6 C0.8,-5 3,-8.6 7,-10.5 C8.8,-4.4 7.8,1.4 5.4,5 "
    "C3.8,7.6 2,9.6 0,10.5 C-2,9.6 -3.8,7.6 -5.4,5 C-7.8,1.4 -8.8,-4.4 -7,-10.5 Z"
)
_PITH = "M0,-6.5 A6.5,6.5 0 1 1 0,6.5 A6.5,6.5 0 1 1 0,-6.5 Z"
_PITH_LEFT = "M0,-6.5 A6.5,6.5 0 0 0 0,6.5 Z"
_PITH_CORE = "M0,-3.5 A3.5,3.5 0 1 1 0,3.5 A3.5,3.5 0 1 1 0,-3.5 Z"

BUDS: Final = (
    Glyph("meets", "tree meets the brief", INK, _BUD, filled=_BUD),
    Glyph("minor", "minor faults", INK, _BUD, filled=_BUD_LEFT),
    Glyph("faulty", "faulty tree", AGAIN, _BUD_OPEN, strokes="M-10.5,3 L10.5,3"),
)
SEEN_WALKING: Final = "smaller bud: seen while walking, outside the verdict"
NO_FAULT_OF_POINT: Final = "Dot: checked, no fault of this point noted."

PITHS: Final = (
    Glyph("accepted", "accepted", INK, _PITH, filled=_PITH),
    Glyph("accepted_in_part", "accepted as far as judged", INK, _PITH, filled=_PITH_CORE),
    Glyph("too_few", "too few checks", INK, _PITH, filled=_PITH_LEFT),
    Glyph("send_back", "send back", AGAIN, _PITH, strokes="M-11,0 L11,0"),
    Glyph("not_begun", "not begun", INK, ""),
)
"""``not_begun`` is an empty middle: where nothing is pruned there is no work to judge."""

PLACES: Final = (
    Glyph("blank", "blank", INK, "M0,-5 A5,5 0 1 1 0,5 A5,5 0 1 1 0,-5 Z"),
    Glyph("pollinizer", "pollinizer", INK, "M0,-7 L7,0 L0,7 L-7,0 Z", filled="M0,-7 L0,7 L-7,0 Z"),
)


@dataclass(frozen=True, slots=True)
class FeatureSign:
    """How something on the ground of a farm is drawn: as a line, an area or a point, whichever it was drawn as.

    ``line.form`` is rails (two thin broken lines side by side), waves, wired (a thin line with a cross-arm and a knot at
    each pole) or strokes (long and short dashes). ``area`` is ripples, roof (filled), yard (an edge of dashes) or empty.
    """

    key: str
    words: str
    line: LineForm | None = None
    area: str = ""
    glyph: Glyph | None = None


_POSTS = "M-9.5,-7 L-7,-7 L-7,8 L-9.5,8 Z M7,-7 L9.5,-7 L9.5,8 L7,8 Z"
_GATE = Glyph("gate", "gate", INK, _POSTS, filled=_POSTS, strokes="M-7,-3 L7,-3 M-7,4 L7,4 M-7,4 L7,-3")
_TROUGH = "M-10,-5 L10,-5 L8,7 L-8,7 Z"
_WATER = Glyph("water", "water", INK, _TROUGH, strokes="M-6.5,1 Q-4.3,-2 -2.2,1 T2.2,1 T6.5,1")
_HOUSE = "M-8,8 L-8,-2 L0,-9 L8,-2 L8,8 Z"
_SHED = Glyph("shed", "shed", INK, _HOUSE, filled=_HOUSE)
_OTHER = Glyph(
    "other", "something else", INK, "M-6,-6 L6,-6 L6,6 L-6,6 Z", filled="M-2,-2 L2,-2 L2,2 L-2,2 Z"
)


def _ground_line(key: str, words: str, form: str, width: float, period: float, reach: float) -> LineForm:
    return LineForm(key, words, form, INK, width, period=period, shoot=reach)


FEATURES_TITLE: Final = "On the farm"
POWER_LINE: Final = "power_line"
"""The sign of lines that are kept as dangers; the other keys are kinds of `orchardmap.model.farm_feature`."""

FEATURES: Final = (
    FeatureSign("track", "track", _ground_line("track", "track", "rails", 0.2, 9.0, 2.7)),
    FeatureSign("gate", "gate", glyph=_GATE),
    FeatureSign(
        "water", "water", _ground_line("water", "water", "waves", 0.24, 10.0, 1.9), "ripples", _WATER
    ),
    FeatureSign("shed", "shed", area="roof", glyph=_SHED),
    FeatureSign(
        "other",
        "something else",
        _ground_line("other", "something else", "strokes", 0.22, 14.0, 0.0),
        "yard",
        _OTHER,
    ),
    FeatureSign(POWER_LINE, "power line", _ground_line(POWER_LINE, "power line", "wired", 0.5, 0.0, 5.5)),
)
"""What lies on a farm beside its blocks. Ink and thin forms alone: rows stay what is seen first, save power lines, which kill."""

NORTH: Final = Glyph(
    "north", "north is up", INK, "M0,-11 L6,10 L0,5.5 L-6,10 Z", filled="M0,-11 L0,5.5 L-6,10 Z"
)

ARCS: Final = (
    LineForm("faulty", "share of the trees drawn that are faulty", "barred", AGAIN, 1.2, period=4.5),
    LineForm("sound", "drawn trees without faults that count", "solid", INK, 0.34),
    LineForm("unchecked", "no checks yet", "solid", CLOSED, 0.2),
    LineForm("finished", "done: nothing left to prune", "solid", PRUNED, 0.34),
)
"""Lines that only rings use, beside those of the rows."""


@dataclass(frozen=True, slots=True)
class RingSign:
    """One entry of the legend for blocks seen from far: a ring as a layer of the map draws it.

    ``arc`` and ``rest`` are keys of `LINES` or `ARCS`, for the closed part of the ring and the open
    one; ``pith`` is a key of `PITHS` or empty.
    """

    words: str
    share: float
    arc: str = "pruned"
    rest: str = "to_prune"
    pith: str = ""
    has_overlap: bool = False
    has_again: bool = False
    has_weak: bool = False
    is_closed: bool = False


VIEWS: Final = {
    "progress": ("Progress", "Ring: share of trees pruned, clockwise from north. Pith: verdict on the work."),
    "quality": (
        "Quality",
        "Ring: share of the trees drawn by plan that are faulty, without those gone over since, clockwise from north. "
        "Figures: faulty / drawn. Pith: verdict.",
    ),
    "remaining": (
        "Remaining",
        "Ring: share of trees still to prune, clockwise from north. Figures: trees left. Pruned rows stand back.",
    ),
}
"""The three layers of the map: what the control says, and what the ring then says."""

_OVERLAP_RING = RingSign("trees claimed by two crews", 0.6, has_overlap=True)
_CLOSED_RING = RingSign("closed, nobody may enter", 0.3, is_closed=True)
_IN_PART_WORDS = "accepted as far as judged: more is pruned since"
_AGAIN_WORDS = "trees to go over again"
_AGAIN_RING = RingSign(_AGAIN_WORDS, 1.0, has_again=True)
_WEAK_RING = RingSign("weak area, no return yet", 1.0, has_weak=True)
RINGS: Final = {
    "progress": (
        RingSign("accepted", 1.0, pith="accepted"),
        RingSign(_IN_PART_WORDS, 0.8, pith="accepted_in_part"),
        RingSign("send back", 0.7, pith="send_back"),
        RingSign("too few checks", 0.4, pith="too_few"),
        RingSign("not begun", 0.0, pith="not_begun"),
        _OVERLAP_RING,
        _AGAIN_RING,
        _WEAK_RING,
        _CLOSED_RING,
    ),
    "quality": (
        RingSign("accepted", 0.06, "faulty", "sound", "accepted"),
        RingSign(_IN_PART_WORDS, 0.06, "faulty", "sound", "accepted_in_part"),
        RingSign("send back", 0.22, "faulty", "sound", "send_back"),
        RingSign("too few checks", 0.0, "faulty", "sound", "too_few"),
        RingSign("no checks yet", 0.0, "faulty", "unchecked"),
        RingSign(_AGAIN_WORDS, 0.1, "faulty", "sound", has_again=True),
        RingSign(_WEAK_RING.words, 0.1, "faulty", "sound", has_weak=True),
    ),
    "remaining": (
        RingSign("part still to prune", 0.6, "to_prune", "finished"),
        RingSign("done: nothing left to prune", 0.0, "to_prune", "finished"),
        RingSign(_AGAIN_WORDS, 0.0, "to_prune", "finished", has_again=True),
        RingSign("closed, nobody may enter", 0.6, "to_prune", "finished", is_closed=True),
    ),
}
"""What the legend shows of blocks from far, by layer."""

WORDS: Final = {
    "title": "Legend",
    "rows": "Rows, each at its true length",
    "stopped": "crew stopped here",
    "places": "Positions",
    "blocks": "Blocks from far",
    "checks": "Checks",
    "patches": "Weak areas",
    "size": "The larger the ring, the more trees.",
    "nothing_checked": "no checks yet",
    "done": "done",
}
