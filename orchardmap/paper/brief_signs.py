"""Small signs of the brief card, black on white: how much a point weighs, whether it is checked, what drawings mean."""

from orchardmap.model.brief import PointClass
from orchardmap.pruning.pictures.drawing import BLACK, WHITE, line
from orchardmap.pruning.pictures.growth import fruit_bud, leaf_bud
from orchardmap.pruning.pictures.signs import cut_at, do_not_cut
from orchardmap.pruning.pictures.wood import OLDER, TWO_YEAR, Stem, gone, kept, year_ring

__all__ = ["bud_sign", "check_sign", "key_signs", "weight_sign"]

_DISCS: dict[PointClass, int] = {"critical": 3, "major": 2, "minor": 1}


def weight_sign(point_class: PointClass) -> str:
    """Return three discs, as many of them full as the point weighs."""
    discs = "".join(
        f'<circle cx="{6 + 11 * i}" cy="6" r="4.2" stroke="{BLACK}" stroke-width="1.2" '
        f'fill="{BLACK if i < _DISCS[point_class] else WHITE}"/>'
        for i in range(len(_DISCS))
    )
    return _sign("weight", 34, 12, discs)


def check_sign(is_checked: bool) -> str:
    """Return a ticked box for a point that is checked, a broken empty one for a point that is only taught."""
    broken = "" if is_checked else ' stroke-dasharray="2 1.6"'
    box = f'<rect x="1" y="1" width="10" height="10" stroke="{BLACK}" stroke-width="1.2" fill="{WHITE}"{broken}/>'
    tick = line("M3,6.2 L5.2,8.8 L9.4,2.6", 1.6) if is_checked else ""
    return _sign("check", 12, 12, box + tick)


def bud_sign() -> str:
    """Return a limb with two fruit buds."""
    limb = Stem((2, 34), (58, 31), OLDER)
    buds = fruit_bud(limb, 0.3, -1, stalk=2) + fruit_bud(limb, 0.68, -1, stalk=2)
    return _sign("bud", 60, 42, kept(limb) + buds)


def key_signs() -> dict[str, str]:
    """Return the signs that every drawing is made of: stays, goes, cut, uncut, fruit bud, leaf bud, where a year's growth ended."""
    wood = Stem((3, 32), (41, 28), (6, 5))
    shoot = Stem((3, 26), (41, 18), TWO_YEAR)
    first, last = wood.part(0, 0.5), wood.part(0.5, 1)
    drawn = {
        "stays": kept(wood),
        "goes": gone(wood),
        "cut": kept(first) + gone(last) + cut_at(wood, 0.5, side=-1),
        "uncut": kept(wood) + do_not_cut((22, 15.5), (22, 27)),
        "fruit_bud": kept(wood) + fruit_bud(wood, 0.5, -1, stalk=2),
        "leaf_bud": kept(wood) + leaf_bud(wood, 0.4, -1),
        "year_ring": kept(shoot) + year_ring(shoot, 0.5),
    }
    return {name: _sign("sign", 44, 36, one) for name, one in drawn.items()}


def _sign(kind: str, width: int, height: int, drawn: str) -> str:
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="{kind}" viewBox="0 0 {width} {height}" aria-hidden="true">'
        f'<g fill="none" stroke-linecap="round" stroke-linejoin="round">{drawn}</g></svg>'
    )
