"""Sentences on hazards for brief, tablet and paper. Each set ends by deferring to law, label and licensed practice."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from orchardmap.errors import UnknownError
from orchardmap.locale.catalogue import message, translated
from orchardmap.locale.numbers import number_text
from orchardmap.model.brief import COMMON_PRACTICE
from orchardmap.pruning.clearance import LineClearance

__all__ = ["ALWAYS_SHOWN", "CAUTIONS", "Caution", "caution_texts", "clearance_text", "deferring_text"]


@dataclass(frozen=True, slots=True)
class Caution:
    """A safety sentence tied to a hazard."""

    key: str
    sentences: Mapping[str, str]
    """Language to sentence; ``{clearance}`` is metres from a power line."""
    source: str


_LISTED = (
    Caution(
        "ladder",
        message(
            "Ladder: check it before use, stand no higher than the third step from the top, never over-reach, "
            "come down in wind and when a machine comes near."
        ),
        "OSHA QuickCard, Protecting workers from tripod orchard ladder injuries; SAIF, Orchard ladder safety",
    ),
    Caution(
        "powered-tools",
        message(
            "Powered secateurs and saws: only when you have been taught; free hand away from the blade; "
            "locked off when you move."
        ),
        "Pomewest, Electric secateurs injuries in WA orchards",
    ),
    Caution(
        "eyes",
        message("Eyes: wear glasses; shoots spring back."),
        "OSHA QuickCard, Protecting workers from tripod orchard ladder injuries",
    ),
    Caution(
        "overhead-lines",
        message(
            "Power lines: keep yourself, ladders, poles and platforms at least {clearance} m away. "
            "If in doubt, do not work there."
        ),
        LineClearance().source,
    ),
    Caution(
        "cold-and-wet",
        message("Cold and wet: dry gloves, breaks, something warm; wind makes it colder than it reads."),
        "OSHA, wind chill chart; the rest is common practice",
    ),
    Caution(
        "working-alone",
        message("Alone: somebody knows where you are and when you are back; try the phone before you rely on it."),
        "HSE guidance on lone working as summarised by FISA",
    ),
    Caution(
        "spray-reentry",
        message(
            "Sprayed lately: nobody goes in before the longest re-entry time of the products used together is over."
        ),
        "40 CFR 170.112(a) (2007)",
    ),
    Caution(
        "slope",
        message("Slope: ladder feet on firm ground, the third leg uphill; go slowly on wet grass."),
        COMMON_PRACTICE,
    ),
    Caution(
        "closure",
        message("Closed block: nobody goes in before the hour at which it opens again."),
        COMMON_PRACTICE,
    ),
)  # fmt: skip
CAUTIONS: Mapping[str, Caution] = {caution.key: caution for caution in _LISTED}

ALWAYS_SHOWN: tuple[str, ...] = (
    "ladder",
    "powered-tools",
    "eyes",
    "overhead-lines",
    "cold-and-wet",
    "working-alone",
    "spray-reentry",
)
"""Those of every brief; slope and closure belong to the blocks that have them."""

_CM_SLACK = 1e-6  # 3.05 m stays 3.05 in binary; whatever is more is said as the next centimetre
_DEFERRING = message("Local law, the product label and licensed practice decide.")


def caution_texts(
    keys: Sequence[str], language: str, *, clearance_m: float = LineClearance().base_m
) -> tuple[str, ...]:
    """Return the sentences of cautions, and last the one that defers.

    Parameters
    ----------
    keys : sequence of str
        Keys of `CAUTIONS`, in the order shown.
    language : str
        ISO 639-1 code; English where it has no catalogue.
    clearance_m : float, metres
        Least distance from the farm's power lines, from `line_clearance_m`.

    Returns
    -------
    tuple of str
        One more than there are keys: the deferring sentence is never left out.

    Raises
    ------
    UnknownError
        If a key is none of `CAUTIONS`.

    Examples
    --------
    >>> caution_texts(["eyes"], "es")[-1]
    'Deciden la ley local, la etiqueta del producto y la práctica autorizada.'
    """
    unknown = [key for key in keys if key not in CAUTIONS]
    if unknown:
        raise UnknownError(
            f"There is no caution {unknown[0]!r}.", where="cautions", todo=f"Known: {', '.join(CAUTIONS)}."
        )
    distance = clearance_text(clearance_m, language)
    texts = (translated(CAUTIONS[key].sentences, language) for key in keys)
    return (*(text.replace("{clearance}", distance) for text in texts), deferring_text(language))


def clearance_text(clearance_m: float, language: str) -> str:
    """Return a distance to keep, in metres, said no shorter than it is.

    Returns
    -------
    str
        To the next centimetre.
    """
    return number_text(math.ceil(100.0 * clearance_m - _CM_SLACK) / 100.0, language)


def deferring_text(language: str) -> str:
    """Return the sentence that every set of cautions ends with.

    Returns
    -------
    str
        English where there is no catalogue for the language.
    """
    return translated(_DEFERRING, language)
