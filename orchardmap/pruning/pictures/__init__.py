"""One drawing per point of a brief, as SVG text: what is cut and what stays, for somebody who reads no English.

Solid black stays, a broken outline goes, a bold bar with shears is the cut. The same text serves web,
tablet and paper.
"""

import re
from collections.abc import Callable, Mapping
from html import escape
from math import isfinite
from types import MappingProxyType
from typing import Final

from orchardmap.errors import InputError, UnknownError
from orchardmap.pruning.pictures import bearing_pictures, limb_pictures, tree_pictures
from orchardmap.pruning.pictures.drawing import WHITE
from orchardmap.pruning.pictures.limits import Limits

__all__ = ["PICTURES", "picture_svg"]

PICTURES: Final[Mapping[str, Callable[[Limits], str]]] = MappingProxyType({
    "bud-count": bearing_pictures.bud_count,
    "bud-kinds": bearing_pictures.bud_kinds,
    "crack-upright": limb_pictures.crack_upright,
    "dead-wood": limb_pictures.dead_wood,
    "fork-out": limb_pictures.fork_out,
    "leaf-cover": bearing_pictures.leaf_cover,
    "light-well": tree_pictures.light_well,
    "limb-angle": tree_pictures.limb_angle,
    "limb-count": tree_pictures.limb_count,
    "limb-gap": tree_pictures.limb_gap,
    "limb-over-half": limb_pictures.limb_over_half,
    "limb-over-two-thirds": limb_pictures.limb_over_two_thirds,
    "no-cut-spurred-two-year": bearing_pictures.no_cut_spurred_two_year,
    "no-stub": limb_pictures.no_stub,
    "one-leader": tree_pictures.one_leader,
    "renewal-cuts": bearing_pictures.renewal_cuts,
    "renewal-stub": limb_pictures.renewal_stub,
    "secondary-simple": limb_pictures.secondary_simple,
    "short-shoot-stays": bearing_pictures.short_shoot_stays,
    "shorten-borne": bearing_pictures.shorten_borne,
    "shorten-to-fruit-bud": bearing_pictures.shorten_to_fruit_bud,
    "strong-upright-years": limb_pictures.strong_upright_years,
    "thick-limb-out": tree_pictures.thick_limb_out,
    "thin-spurs": bearing_pictures.thin_spurs,
    "tip-shoot-whole": bearing_pictures.tip_shoot_whole,
    "unit-after-crops": bearing_pictures.unit_after_crops,
    "unit-too-old": bearing_pictures.unit_too_old,
    "upright-out": limb_pictures.upright_out,
})
"""Name of each picture, in the order of the alphabet, and what draws it."""

_NOT_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
"""Characters that no XML document may hold, however they are written (XML 1.0, production 2)."""


def picture_svg(
    name: str,
    *,
    low: float | None = None,
    high: float | None = None,
    label: str = "",
    decimal_sign: str = ".",
) -> str:
    """Return one picture as a standalone SVG document that may also stand in a page.

    Parameters
    ----------
    name : str
        A key of `PICTURES`.
    low, high : float, optional
        The point's limits in its own unit (lengths in cm, angles in degrees from the vertical). A
        picture that shows limits writes them; the others draw the same with or without.
    label : str
        What a screen reader says. Without one the picture is hidden from it, as fits where the
        point's sentence stands beside the picture.
    decimal_sign : str
        Of the language of the sentence.

    Returns
    -------
    str
        An ``svg`` element with a view box of 0 0 100 100 and no size, in black on white, without ids,
        classes, styles or references.

    Raises
    ------
    UnknownError
        There is no picture of that name.
    InputError
        A limit is not a finite number.

    Examples
    --------
    >>> picture_svg("limb-count", low=18, high=22, label="18 to 22 limbs")[:74]
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100" role="img"><'
    """
    draw = PICTURES.get(name)
    if draw is None:
        raise UnknownError(
            "There is no such picture", where=repr(name), todo=f"Take one of: {', '.join(PICTURES)}."
        )
    for limit in (low, high):
        if limit is not None and not isfinite(limit):
            raise InputError(
                "A limit is not a number", where=f"picture {name}", todo="Give a number, or none."
            )
    manner = (
        f' role="img"><title>{escape(_NOT_XML.sub("", label))}</title>' if label else ' aria-hidden="true">'
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100"{manner}'
        f'<rect width="100" height="100" fill="{WHITE}"/>'
        f'<g fill="none" stroke-linecap="round" stroke-linejoin="round">{draw(Limits(low, high, decimal_sign))}</g></svg>'
    )
