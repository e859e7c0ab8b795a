"""Pictures of wood that bears: shoots, units, spurs, and what their habit wants."""

from orchardmap.pruning.pictures.drawing import Point, enlarged, line, placed, text, towards
from orchardmap.pruning.pictures.growth import apple, fruit_bud, leaf, leaf_bud, spur, sun, tip_fruit_bud
from orchardmap.pruning.pictures.limits import Limits
from orchardmap.pruning.pictures.signs import cut, cut_at, do_not_cut, pointing, then
from orchardmap.pruning.pictures.wood import OLDER, ONE_YEAR, TWO_YEAR, Stem, gone, kept, year_ring

__all__ = [
    "bud_count",
    "bud_kinds",
    "leaf_cover",
    "no_cut_spurred_two_year",
    "renewal_cuts",
    "short_shoot_stays",
    "shorten_borne",
    "shorten_to_fruit_bud",
    "thin_spurs",
    "tip_shoot_whole",
    "unit_after_crops",
    "unit_too_old",
]

_NEAR_TIP = (27.0, 42.0)
_FRUIT_BUD = fruit_bud(Stem((-5, 4.6), (5, 4.6), (2, 2)), 0.5, -1) + line("M-7,5 H7", 2.4)
_LEAF_BUDS = line("M-8,4 H8", 2.4) + "".join(
    leaf_bud(Stem((-8, 4), (8, 4), (2.4, 2.4)), share, -1) for share in (0.2, 0.65)
)


def _counted(what: str, at: Point, words: str, size: float) -> str:
    """Return what is counted, and beside it how many of it; nothing where no number is wanted."""
    x, y = at
    return placed(what, (x - 28, y)) + text((x + 4, y), words, size, room=48) if words else ""


def bud_kinds(_limits: Limits) -> str:
    """Draw what comes of a fat bud and of a thin one."""
    scene = ""
    for y, is_fat in ((22.0, True), (50.0, False)):
        before, after = Stem((2, y), (22, y - 2), TWO_YEAR), Stem((39, y), (59, y - 2), TWO_YEAR)
        scene += kept(before, after) + then((31, y - 5), 90) + leaf(after.at(0.4), 40)
        if is_fat:
            scene += fruit_bud(before, 0.45, -1) + leaf(after.at(0.4), 340) + apple(after.at(0.6))
        else:
            scene += leaf_bud(before, 0.45, -1)
    return enlarged(scene, 1.6)


def bud_count(limits: Limits) -> str:
    """Draw a limb with as many fruit buds as are wanted, the first three counted."""
    count = limits.count(12, most=16)
    limb = Stem((2, 62), (98, 54), (7, 3))
    buds = figures = ""
    for i in range(count):
        share, side = 0.1 + 0.84 * i / max(count - 1, 1), -1 if i % 2 == 0 else 1
        buds += fruit_bud(limb, share, side, stalk=2)
        if i < 3:
            figures += text(towards(limb.edge(share, side), 5 if side < 0 else 175, 17), str(i + 1), 10)
    return kept(limb) + buds + figures + _counted(_FRUIT_BUD, (48, 16), limits.words(), 16)


def thin_spurs(limits: Limits) -> str:
    """Draw a crowded limb on which some spurs go."""
    limb = Stem((0, 84), (100, 78), OLDER)
    wood = cuts = ""
    for i in range(5):
        share, is_gone = 0.08 + 0.198 * i, i % 2 == 1
        wood += spur(limb, share, -1, is_gone=is_gone)
        if is_gone:
            cuts += cut(towards(limb.edge(share, -1), 0, 4), 270, 11, with_shears=i == 3)
    return wood + kept(limb) + cuts + _counted(_FRUIT_BUD, (48, 20), limits.words(), 16)


def tip_shoot_whole(_limits: Limits) -> str:
    """Draw a short one-year shoot with a fruit bud at the tip: no cut, and the apple that comes."""
    scene = do_not_cut((46, 20), _NEAR_TIP) + then((46, 66), 90)
    for x in (0, 54):
        limb = Stem((x, 92), (x + 42, 90), OLDER)
        shoot = Stem((x + 12, 90), (x + 22, 48), ONE_YEAR, bend=(x + 12, 64))
        scene += kept(limb, shoot) + leaf_bud(shoot, 0.4, -1) + leaf_bud(shoot, 0.6, 1)
        scene += (
            tip_fruit_bud(shoot) if x == 0 else leaf(shoot.end, 320) + leaf(shoot.end, 60) + apple(shoot.end)
        )
    return scene


def short_shoot_stays(_limits: Limits) -> str:
    """Draw a short one-year shoot left alone, and the spurs that form on it."""
    limbs = Stem((0, 92), (42, 90), OLDER), Stem((54, 92), (100, 90), OLDER)
    first, second = Stem((12, 90), (22, 48), ONE_YEAR), Stem((66, 90), (76, 48), TWO_YEAR)
    new = Stem(second.end, (81, 26), ONE_YEAR)
    buds = "".join(leaf_bud(first, share, side) for share, side in ((0.3, 1), (0.5, -1), (0.7, 1), (0.9, -1)))
    spurs = "".join(
        fruit_bud(second, share, side, stalk=2) for share, side in ((0.3, 1), (0.5, -1), (0.7, 1), (0.84, -1))
    )
    scene = kept(first, second, new, *limbs) + buds + spurs + leaf_bud(new, 0.5, -1) + year_ring(second, 1)
    return scene + do_not_cut((44, 20), (24, 49)) + then((46, 66), 90)


def shorten_borne(limits: Limits) -> str:
    """Draw a shoot that has borne, and how it is shortened so that a few buds stay."""
    count = limits.count(3, most=5)
    limbs = Stem((0, 92), (42, 90), OLDER), Stem((54, 92), (100, 90), OLDER)
    borne, same = (Stem((x, 90), (x + 28, 34), TWO_YEAR, bend=(x, 44)) for x in (10, 64))
    fruit = leaf(borne.at(0.7), 10) + leaf(borne.at(1), 50) + apple(borne.at(0.7)) + apple(borne.at(1))
    share = 0.2 + 0.12 * count
    buds = "".join(leaf_bud(same, 0.18 + 0.12 * i, 1 if i % 2 else -1) for i in range(count))
    scene = kept(borne, *limbs, same.part(0, share)) + gone(same.part(share, 1)) + fruit + buds
    return (
        scene + cut_at(same, share) + then((47, 66), 90) + _counted(_LEAF_BUDS, (72, 12), limits.words(), 15)
    )


def renewal_cuts(limits: Limits) -> str:
    """Draw a limb on which a few side shoots are cut back to a stub, the others staying to bear."""
    count = limits.count(3, most=4)
    trunk, limb = Stem((6, 100), (6, 0), (12, 12)), Stem((10, 84), (98, 76), (8, 2))
    scene = kept(trunk, limb) + _counted(cut((-6, 0), 270, 12), (64, 16), limits.words(), 15)
    renewed = (0, 2, 4, 3)[:count]
    for i in range(5):
        foot = limb.at(0.12 + 0.155 * i)
        side = Stem(foot, towards(foot, 18, 42), (3.2, 1.6))
        if i in renewed:
            scene += gone(side.part(0.36, 1)) + kept(side.part(0, 0.36))
            scene += cut_at(side, 0.36, with_shears=i == max(renewed))
        else:
            scene += kept(side) + fruit_bud(side, 0.6, 1) + fruit_bud(side, 0.75, -1) + tip_fruit_bud(side)
    return scene


def no_cut_spurred_two_year(_limits: Limits) -> str:
    """Draw two-year wood with spurs, which is not cut into."""
    trunk = Stem((6, 100), (6, 0), (12, 12))
    whole = Stem((10, 86), (68, 62), TWO_YEAR)
    new = Stem(whole.end, (98, 50), ONE_YEAR)
    spurs = "".join(
        fruit_bud(whole, share, side, stalk=2) for share, side in ((0.3, -1), (0.45, 1), (0.6, -1), (0.8, 1))
    )
    buds = "".join(leaf_bud(new, share, side) for share, side in ((0.4, -1), (0.7, 1)))
    return (
        kept(trunk, whole, new)
        + spurs
        + buds
        + year_ring(whole, 1)
        + do_not_cut((50, 28), towards(whole.at(0.7), 0, 2))
    )


def unit_too_old(_limits: Limits) -> str:
    """Draw a thick, hanging, much branched unit going out whole beside a slender young one."""
    limb = Stem((0, 18), (100, 12), (11, 8))
    old = Stem(limb.at(0.36), (46, 94), (8, 2.4), bend=(58, 30))
    twigs = [
        Stem(old.at(share), towards(old.at(share), turn, reach), (3.4, 1.6))
        for share, turn, reach in ((0.35, 205, 22), (0.5, 110, 18), (0.65, 220, 24), (0.8, 130, 18))
    ]
    young = Stem(limb.at(0.76), (94, 52), ONE_YEAR, bend=(76, 44))
    buds = "".join(fruit_bud(young, share, side) for share, side in ((0.4, -1), (0.6, 1), (0.8, -1)))
    return gone(*twigs, old) + kept(limb, young) + buds + cut_at(old, 0.12)


def shorten_to_fruit_bud(_limits: Limits) -> str:
    """Draw a slender unit shortened to a fat fruit bud low on its two-year wood, and a stout one higher up."""
    slender, stout = Stem((12, 92), (32, 46), (3.2, 2.4)), Stem((54, 90), (80, 42), (7, 4))
    scene = kept(Stem((0, 94), (100, 90), OLDER))
    for unit, tip, share in ((slender, (42.0, 6.0), 0.42), (stout, (94.0, 4.0), 0.74)):
        new = Stem(unit.end, tip, ONE_YEAR)
        scene += kept(unit.part(0, share)) + gone(unit.part(share, 1), new) + year_ring(unit, 1)
        scene += fruit_bud(unit, share - 0.16, -1) + cut_at(unit, share)
        scene += "".join(
            leaf_bud(new, along, side, is_gone=True) for along, side in ((0.35, -1), (0.6, 1), (0.8, -1))
        )
    return scene + fruit_bud(stout, 0.3, -1) + fruit_bud(stout, 0.42, 1)


def unit_after_crops(limits: Limits) -> str:
    """Draw a unit in its crop, how many crops there are, and how it goes whole after the last."""
    limbs = Stem((0, 18), (40, 18), OLDER), Stem((58, 18), (100, 18), OLDER)
    bearing = Stem((14, 20), (26, 62), (3.2, 1.6), bend=(10, 48))
    spent = Stem((70, 20), (86, 66), (6, 3.2), bend=(66, 50))
    twigs = [Stem(spent.at(share), towards(spent.at(share), 215, 13), ONE_YEAR) for share in (0.5, 0.78)]
    scene = kept(*limbs, bearing) + apple(bearing.end) + gone(*twigs, spent) + cut_at(spent, 0.17)
    return scene + then((48, 44), 90) + _counted(apple((0, -7)), (52, 90), limits.words(), 13)


def leaf_cover(_limits: Limits) -> str:
    """Draw a shoot shortened in winter, and the leaves that come of it between the sun and the apple."""
    limbs = Stem((0, 92), (34, 90), OLDER), Stem((44, 92), (100, 90), OLDER)
    winter, summer = Stem((9, 90), (16, 20), ONE_YEAR), Stem((56, 90), (56, 70), TWO_YEAR)
    scene = kept(*limbs, winter.part(0, 0.45), summer) + gone(winter.part(0.45, 1)) + cut_at(winter, 0.45)
    scene += "".join(leaf_bud(winter, share, side) for share, side in ((0.2, 1), (0.36, -1)))
    roof = Stem(summer.end, (86, 50), ONE_YEAR, bend=(60, 42))
    leaves = "".join(
        leaf(roof.at(share), turn)
        for share, turn in ((0.3, -50), (0.45, -15), (0.6, 10), (0.75, 35), (0.88, 55), (1, 95))
    )
    light = pointing((72, 19), (66, 33)) + pointing((82, 22), (82, 36))
    x, y = roof.at(0.66)
    return scene + kept(roof) + leaves + apple((x, y + 2)) + light + sun((78, 12)) + then((37, 78), 90)
