"""How a crew's trees were found, in words that blame chance on nobody. Pure."""

from orchardmap.locale.catalogue import message, translated
from orchardmap.locale.numbers import number_text, whole_text
from orchardmap.quality.crew_expected import ExpectedFaulty
from orchardmap.quality.crew_standings import LEAST_CHECKS, Standing

__all__ = ["standing_text"]

_STANDINGS: dict[Standing, dict[str, str]] = {
    "as_others": message(
        "As was to be expected in its blocks: {faulty} faulty trees of {checked}, {expected} expected."
    ),
    "more_faulty": message(
        "More faulty trees than chance explains: {faulty} of {checked}, {expected} expected in its blocks. Go over the brief with the crew."
    ),
    "fewer_faulty": message(
        "Fewer faulty trees than chance explains: {faulty} of {checked}, {expected} expected in its blocks."
    ),
    "too_few_checks": message("Too few checks to say anything: {checked} trees; {least} are needed."),
}
_ALONE = message(
    "{alone} of these trees stand in blocks where no other crew was checked: there it may be the block as well as the crew."
)
_LEFT_OUT = message("{left_out} trees are left out: no other crew was checked on anything like them.")


def standing_text(told: ExpectedFaulty, standing: Standing, *, language: str) -> str:
    """Return what a crew's standing says, and how far it can be trusted.

    Parameters
    ----------
    told : ExpectedFaulty
        What the crew is held against.
    standing : str
        Of `orchardmap.quality.crew_standings`.
    language : str
        ISO 639-1 code; English where it has no catalogue.

    Returns
    -------
    str
        Whole sentences. Where more trees are faulty than elsewhere it says what to do next.

    Examples
    --------
    >>> standing_text(ExpectedFaulty(140, 12, 13.13, 0, 0), "as_others", language="en")
    'As was to be expected in its blocks: 12 faulty trees of 140, 13.1 expected.'
    """
    sentences = [
        translated(_STANDINGS[standing], language).format(
            faulty=whole_text(told.faulty, language),
            checked=whole_text(told.checked, language),
            expected=number_text(round(told.expected, 1), language),
            least=LEAST_CHECKS,
        )
    ]
    # a crew that looks like the others may do so because it is held against its own trees, or has easy blocks
    if told.alone and standing != "too_few_checks":
        sentences.append(translated(_ALONE, language).format(alone=whole_text(told.alone, language)))
    if told.left_out:
        sentences.append(translated(_LEFT_OUT, language).format(left_out=whole_text(told.left_out, language)))
    return " ".join(sentences)
