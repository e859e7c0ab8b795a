"""Pictures of the whole tree: its leader, its limbs, its light."""

from orchardmap.pruning.pictures.drawing import Point, line, number, placed, shape, text, towards
from orchardmap.pruning.pictures.growth import fruit_bud, sun
from orchardmap.pruning.pictures.limits import Limits
from orchardmap.pruning.pictures.signs import cut, cut_at, distance, then
from orchardmap.pruning.pictures.wood import LIMB, Stem, gone, kept

__all__ = ["light_well", "limb_angle", "limb_count", "limb_gap", "one_leader", "thick_limb_out"]

_GROUND = line("M8,96 H92", 1.4)
_RAY = line("M0,0 V60", 1.6) + shape("M-3,58 L0,66 L3,58Z", width=1)


def limb_count(limits: Limits) -> str:
    """Draw a leader with as many limbs as are wanted, counted from below."""
    count = limits.count(20, most=30, least=2)
    leader = Stem((50, 96), (50, 4), (7, 1.6))
    limbs = []
    for i in range(count):
        y, side = 72 - 62 * i / (count - 1), 1 if i % 2 else -1
        reach = 12 + 0.38 * (y - 8)
        limbs.append(Stem((50, y), (50 + side * reach, y - 5), (2.6, 1.2)))
    counted = "".join(
        text(towards(limb.end, limb.heading_deg(1), 5), str(i + 1), 9) for i, limb in enumerate(limbs[:2])
    )
    return _GROUND + kept(leader, *limbs) + counted + text((77, 86), limits.words(), 13, room=44)


def one_leader(_limits: Limits) -> str:
    """Draw a rival that grows up beside the leader and is cut out at its base."""
    leader = Stem((44, 96), (44, 4), (8, 1.6))
    limbs = [
        Stem((44, y), (44 + reach, y - 9), LIMB) for y, reach in ((80, -34), (70, 38), (58, -29), (34, -20))
    ]
    rival = Stem((45, 46), (60, 3), (7, 1.6), bend=(60, 36))
    return _GROUND + gone(rival) + kept(leader, *limbs) + cut_at(rival, 0.2)


def light_well(_limits: Limits) -> str:
    """Draw the shoots on the leader and at the limb bases going out, so that light falls down the middle."""
    scenes = sun((76, 10)) + then((49, 74), 90)
    for x in (23, 76):
        leader = Stem((x, 99), (x, 24), (5, 3))
        limbs = [
            Stem((x, y), (x + reach, y - 7), LIMB) for y, reach in ((90, -22), (88, 22), (58, -21), (56, 21))
        ]
        scenes += kept(leader, *limbs)
        if x < 50:
            shoots = [Stem(limb.at(0.5), towards(limb.at(0.5), 0, 26), (3.2, 1.6)) for limb in limbs]
            scenes += gone(*shoots)
            scenes += "".join(cut(shoot.at(0.18), 270, 9, with_shears=shoot is shoots[3]) for shoot in shoots)
        else:
            scenes += "".join(placed(_RAY, (x + side * 10, 22)) for side in (-1, 1))
    return scenes


def thick_limb_out(_limits: Limits) -> str:
    """Draw a tree of slender limbs with one thick limb, which goes whole."""
    leader = Stem((40, 96), (40, 4), (9, 1.6))
    places = ((82, -32), (60, -30), (38, -24), (46, 26), (24, 20), (18, -16))
    limbs = [Stem((40, y), (40 + reach, y - 8), LIMB) for y, reach in places]
    thick = Stem((41, 76), (94, 26), (10, 3), bend=(82, 70))
    twigs = [Stem(thick.at(share), towards(thick.at(share), 20, 16), (3.2, 1.6)) for share in (0.4, 0.62)]
    return _GROUND + gone(*twigs, thick) + kept(leader, *limbs) + cut_at(thick, 0.11)


def limb_angle(limits: Limits) -> str:
    """Draw the range of headings in which a limb may grow, with a limb outside it at each end going out."""
    low = 40.0 if limits.low is None else limits.low
    high = 140.0 if limits.high is None else limits.high
    foot = (20.0, 50.0)
    leader = Stem((20, 100), (20, 0), (9, 6))
    third = (high - low) / 3
    stays = [Stem(foot, towards(foot, heading, 72), (5, 1.4)) for heading in (low + third, high - third)]
    goes = [Stem(foot, towards(foot, heading, 46), (5, 2)) for heading in (low / 2, (high + 180) / 2)]
    borders = line("".join(_ray(foot, heading) for heading in (low, high)), 1.2)
    (x0, y0), (x1, y1) = towards(foot, low, 34), towards(foot, high, 34)
    arc = line(f"M{number(x0)},{number(y0)} A34,34 0 0 1 {number(x1)},{number(y1)}", 1.2)
    figures = "".join(
        text(towards(foot, heading + aside, 58), f"{limits.figure(heading)}°")
        for heading, given, aside in ((low, limits.low, -5), (high, limits.high, 5))
        if given is not None
    )
    cuts = "".join(cut_at(limb, 0.42, with_shears=limb is goes[0]) for limb in goes)
    return borders + arc + gone(*goes) + kept(leader, *stays) + cuts + figures


def _ray(foot: Point, heading_deg: float) -> str:
    (x0, y0), (x1, y1) = towards(foot, heading_deg, 8), towards(foot, heading_deg, 46)
    return f"M{number(x0)},{number(y0)} L{number(x1)},{number(y1)}"


def limb_gap(limits: Limits) -> str:
    """Draw two limbs with the wanted gap between them and one in between that goes out."""
    leader = Stem((14, 100), (14, 0), (11, 8))
    stays = [Stem((14, y), (94, y - 4), (5, 2)) for y in (20, 92)]
    between = Stem((14, 62), (76, 58), (5, 2))
    gap = distance((86, 20), (86, 86))
    buds = "".join(fruit_bud(limb, share, -1) for limb in stays for share in (0.35, 0.55))
    mark = text((52, 38), limits.words(" cm"), 10, room=60)
    return gone(between) + kept(leader, *stays) + buds + cut_at(between, 0.16) + gap + mark
