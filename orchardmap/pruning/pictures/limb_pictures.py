"""Pictures of one limb and where it joins: what is too thick, too upright, forked, dead; and where the cut lies."""

from fractions import Fraction

from orchardmap.pruning.pictures.drawing import (
    WHITE,
    Point,
    line,
    placed,
    shape,
    text,
    towards,
)
from orchardmap.pruning.pictures.growth import fruit_bud, leaf_bud
from orchardmap.pruning.pictures.limits import Limits
from orchardmap.pruning.pictures.signs import cut, cut_at, distance, right, then, wrong
from orchardmap.pruning.pictures.wood import LIMB, OLDER, ONE_YEAR, Stem, gone, kept, year_ring

__all__ = [
    "crack_upright",
    "dead_wood",
    "fork_out",
    "limb_over_half",
    "limb_over_two_thirds",
    "no_stub",
    "renewal_stub",
    "secondary_simple",
    "strong_upright_years",
    "upright_out",
]


_CANKER = "".join(
    f'<circle cx="{x}" cy="{y}" r="{r}" fill="#000"/>'
    for x, y, r in ((0, 0, 4.2), (-5, -5, 2.4), (5.6, 2, 1.8))
)


def limb_over_half(limits: Limits) -> str:
    """Draw a side limb thicker than half of the limb it grows on going out."""
    # what is a limb on a trunk there lies on its side here
    scene = placed(_limb_over(limits.ratio(Fraction(1, 2))), (0, 100), -90)
    return scene + _compared(limits, (79, 74), (76, 14))


def limb_over_two_thirds(limits: Limits) -> str:
    """Draw a limb thicker than two thirds of the trunk going out."""
    return _limb_over(limits.ratio(Fraction(2, 3))) + _compared(limits, (26, 79), (76, 16))


def _compared(limits: Limits, whole: Point, part: Point) -> str:
    """Return what is too much of a whole, and the whole's 1; nothing where there is no limit."""
    over = limits.over()
    return text(whole, "1", 12) + text(part, over, 12, room=44) if over else ""


def _limb_over(ratio: Fraction) -> str:
    """Draw trunk and limb, and how far it is across each: the trunk's is the one that the limb's is a part of."""
    trunk = Stem((26, 100), (26, 0), (30, 30))
    thickness = 30 * float(ratio) + 5
    limb = Stem((38, 44), (97, 44), (thickness, thickness - 4))
    thin = Stem((38, 88), (78, 82), (5, 1.6))
    (x, y), reach = limb.at(0.7), limb.width(0.7) / 2
    window = shape("M12,62 H40 V86 H12Z", fill=WHITE)
    across = distance((11.5, 67), (40.5, 67)) + distance((x, y - reach), (x, y + reach))
    return gone(limb) + kept(trunk, thin) + cut_at(limb, 0.11) + window + across


def upright_out(_limits: Limits) -> str:
    """Draw a strong upright on a flat limb going out at its base, the slender flat shoots staying."""
    limb = Stem((0, 84), (100, 76), (11, 8))
    upright = Stem(limb.at(0.48), (50, 4), (6, 2), bend=(47, 50))
    flat = [
        Stem(limb.at(0.12), (34, 56), ONE_YEAR, bend=(14, 62)),
        Stem(limb.at(0.7), (96, 46), ONE_YEAR, bend=(72, 56)),
    ]
    buds = "".join(
        leaf_bud(upright, share, side, is_gone=True) for share, side in ((0.5, 1), (0.65, -1), (0.8, 1))
    )
    buds += "".join(fruit_bud(shoot, share, -1) for shoot in flat for share in (0.5, 0.8))
    return gone(upright) + kept(limb, *flat) + buds + cut_at(upright, 0.11)


def strong_upright_years(_limits: Limits) -> str:
    """Draw a one-year and a two-year upright, both going out at their base."""
    limb = Stem((0, 90), (100, 86), (11, 9))
    one = Stem(limb.at(0.26), (26, 24), (4.4, 2))
    two = Stem(limb.at(0.66), (66, 4), (6.4, 2))
    twigs = [
        Stem(two.at(share), towards(two.at(share), turn, 15), ONE_YEAR)
        for share, turn in ((0.3, 50), (0.4, -50))
    ]
    buds = "".join(
        leaf_bud(one, share, side, is_gone=True)
        for share, side in ((0.4, 1), (0.55, -1), (0.7, 1), (0.85, -1))
    )
    buds += "".join(leaf_bud(two, share, side, is_gone=True) for share, side in ((0.66, 1), (0.8, -1)))
    years = text((10, 44), "1", 13) + text((88, 26), "2", 13)
    cuts = cut_at(one, 0.14, side=-1) + cut_at(two, 0.11)
    spurs = fruit_bud(limb, 0.46, -1)
    return gone(*twigs, one, two) + buds + year_ring(two, 0.52) + kept(limb) + spurs + cuts + years


def crack_upright(limits: Limits) -> str:
    """Draw a wanted upright, and how it is cracked half through above its joint and laid over."""
    limbs = Stem((0, 94), (26, 93), OLDER), Stem((33, 94), (100, 91), OLDER)
    before = Stem((10, 92), (10, 18), (5.4, 1.6))
    shoots = "".join(leaf_bud(before, share, side) for share, side in ((0.35, 1), (0.55, -1), (0.75, 1)))
    foot = shape("M39,92 V54 L41,47 L42,55 L44,50 L45,58 L49.5,56 V92Z", width=1)
    over = Stem((47.2, 60), (98, 36), (5, 1.6), bend=(56, 26))
    buds = "".join(fruit_bud(over, share, -1) for share in (0.5, 0.75))
    height = _measured((56, 88), (56, 58), (79, 74), limits, room=40)
    bent = line("M52,14 Q76,6 89,22", 2) + placed(shape("M0,2 L-4,-5 L4,-5Z"), (91, 24), -38)
    return kept(before, *limbs, over) + foot + shoots + buds + height + bent + then((26, 50), 90)


def _measured(start: Point, end: Point, at: Point, limits: Limits, *, room: float) -> str:
    """Return how far it is between two points, nothing where there is no limit: without one it would only puzzle."""
    words = limits.words(" cm")
    return distance(start, end) + text(at, words, 10, room=room) if words else ""


def fork_out(_limits: Limits) -> str:
    """Draw a limb that forks into two equal arms, one of which goes."""
    trunk = Stem((8, 100), (8, 0), (15, 14))
    limb = Stem((12, 66), (52, 56), (9, 7))
    stays, goes = Stem((50, 56.5), (98, 74), (6.4, 1.6)), Stem((50, 56.5), (94, 14), (6.4, 1.6))
    buds = "".join(fruit_bud(stays, share, side) for share, side in ((0.4, 1), (0.6, -1), (0.75, 1)))
    buds += fruit_bud(limb, 0.4, -1) + fruit_bud(limb, 0.6, 1)
    return gone(goes) + kept(trunk, limb, stays) + buds + cut_at(goes, 0.15, side=-1)


def secondary_simple(_limits: Limits) -> str:
    """Draw a branched limb brought to a single line."""
    trunk = Stem((6, 100), (6, 0), (12, 12))
    above, below = Stem((10, 42), (98, 34), (6, 1.4)), Stem((10, 92), (98, 84), (6, 1.4))
    sides, twigs = [], []
    for share, heading in ((0.26, 50), (0.5, 130)):
        side = Stem(above.at(share), towards(above.at(share), heading, 36), (4.4, 2))
        sides.append(side)
        twigs += [
            Stem(side.at(0.6), towards(side.at(0.6), heading + turn, 13), ONE_YEAR) for turn in (-42, 42)
        ]
    cuts = "".join(cut_at(side, 0.18, side=-1, with_shears=side is sides[0]) for side in sides)
    buds = "".join(
        fruit_bud(below, share, side) for share, side in ((0.25, -1), (0.4, 1), (0.55, -1), (0.7, 1))
    )
    return (
        gone(*twigs, *sides) + kept(trunk, above, below) + cuts + buds + then((28, 62), 180) + right((46, 62))
    )


def no_stub(_limits: Limits) -> str:
    """Draw the cut at the collar, which is right, above a cut that leaves a stub, which is wrong."""
    trunk = Stem((13, 100), (13, 0), (26, 26))
    scenes = kept(trunk) + line("M34,50 H98", 1)
    for y, at, sign in ((24.0, 34.0, right), (74.0, 58.0, wrong)):
        collar = shape(
            f"M25,{y - 15:g} Q27,{y - 7:g} 35,{y - 6:g} V{y + 6:g} Q27,{y + 7:g} 25,{y + 15:g}Z", width=1
        )
        limb = Stem((34, y), (86, y), (12, 9))
        share = (at - 34) / 52
        scenes += gone(limb.part(share, 1)) + collar + (kept(limb.part(0, share)) if share else "")
        scenes += cut((at + 1, y), 0, 24) + sign((90, y - 15))
    return scenes


def renewal_stub(limits: Limits) -> str:
    """Draw a slanting cut that leaves a stub, and the flat new shoot that grows from the stub's underside."""
    trunk = Stem((9, 100), (9, 0), (17, 17))
    stub = shape("M16,9 Q18,16 24,17 L39,29 Q20,30 16,38Z", width=1)
    limb = shape("M27,17.5 L94,14 V22 L42,29Z", fill=WHITE, width=1.3, dash="3.2 2.2")
    shoot = Stem((34, 87), (97, 76), (2.6, 1.2), bend=(52, 90))
    buds = "".join(leaf_bud(shoot, share, -1) for share in (0.3, 0.5, 0.7, 0.9))
    scenes = limb + kept(trunk, shoot) + stub + placed(stub, (0, 60)) + buds + cut((33, 23), 308, 28)
    return scenes + _measured((18, 50), (40, 50), (68, 50), limits, room=52) + then((70, 66), 180)


def dead_wood(_limits: Limits) -> str:
    """Draw a snapped limb, and a dead limb with canker, going out, live ones staying."""
    trunk = Stem((46, 100), (46, 0), (13, 10))
    snapped = gone(Stem((48, 46), (74, 34), (6.4, 5.4)), Stem((80, 39), (92, 76), (5, 2)))
    torn = line("M72,29 L76,33 L74,36 L79,38 L77,42 L83,44", 1.6)
    dead = Stem((44, 42), (4, 12), (7, 2))
    twigs = [
        Stem(dead.at(share), towards(dead.at(share), turn, 14), ONE_YEAR)
        for share, turn in ((0.45, 350), (0.62, 250), (0.78, 340))
    ]
    canker = placed(_CANKER, dead.at(0.38))
    live = Stem((45, 88), (4, 74), LIMB), Stem((47, 92), (97, 84), LIMB)
    buds = "".join(
        fruit_bud(limb, share, side)
        for limb, side in zip(live, (1, -1), strict=True)
        for share in (0.4, 0.65)
    )
    cuts = cut((57, 42), 155, 16, with_shears=False) + cut_at(dead, 0.17, side=-1)
    return snapped + torn + gone(*twigs, dead) + canker + kept(trunk, *live) + buds + cuts
