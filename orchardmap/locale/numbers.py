"""Numbers as each language writes them."""

from orchardmap.locale.catalogue import SOURCE_LANGUAGE, message, translated

__all__ = [
    "decimal_sign",
    "fixed_text",
    "number_text",
    "part_text",
    "percent_text",
    "range_text",
    "share_text",
    "whole_text",
]

# Unicode CLDR, numbers/symbols/decimal of each language's main locale
_DECIMAL_SIGN = {"en": ".", "es": ","}

# CLDR too; from the first thousand on in Spanish as well, as the screens write them: columns of figures have both
_GROUP_SIGN = {"en": ",", "es": "."}

_SHARES = (
    (1 / 4, message("a quarter")),
    (1 / 3, message("a third")),
    (1 / 2, message("half")),
    (2 / 3, message("two thirds")),
    (3 / 4, message("three quarters")),
)
_SHARE_SLACK = 1e-9
"""Binary rounding alone: 0.67 is not two thirds, and a tree is judged by what is written."""
_PERCENT = message("{percent}")
_BETWEEN = message("{low} to {high}")
_AT_LEAST = message("at least {low}")
_AT_MOST = message("at most {high}")


def decimal_sign(language: str) -> str:
    """Return the decimal sign of a language, the English one where it is not known.

    Parameters
    ----------
    language : str
        ISO 639-1 code.

    Returns
    -------
    str

    Examples
    --------
    >>> decimal_sign("es")
    ','
    """
    return _DECIMAL_SIGN.get(language, _DECIMAL_SIGN[SOURCE_LANGUAGE])


def number_text(value: float, language: str) -> str:
    """Return a number with a minus and the decimal sign of a language and no more decimals than it needs.

    Parameters
    ----------
    value : float, any unit
    language : str
        ISO 639-1 code; the English sign where it is not known.

    Returns
    -------
    str
        At most six decimals, no zeros at the end, no thousands mark.

    Examples
    --------
    >>> number_text(2.50, "en"), number_text(-3.05, "es"), number_text(24.0, "es")
    ('2.5', '−3,05', '24')
    """
    text = f"{value:.6f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text.replace(".", decimal_sign(language)).replace("-", "\N{MINUS SIGN}")


def whole_text(number: int, language: str) -> str:
    """Return a whole number with its thousands set apart as a language does it.

    Parameters
    ----------
    number : int, any unit, >= 0
    language : str
        ISO 639-1 code; as in English where it is not known.

    Returns
    -------
    str

    Examples
    --------
    >>> whole_text(4000, "en"), whole_text(4000, "es")
    ('4,000', '4.000')
    """
    return f"{number:,}".replace(",", _GROUP_SIGN.get(language, _GROUP_SIGN[SOURCE_LANGUAGE]))


def fixed_text(value: float, decimals: int, language: str) -> str:
    """Return a number with so many decimals, thousands set apart, as amounts of money are written.

    Parameters
    ----------
    value : float, any unit
    decimals : int
        At least 0.
    language : str
        ISO 639-1 code; as in English where it is not known.

    Returns
    -------
    str

    Examples
    --------
    >>> fixed_text(1234.5, 2, "en"), fixed_text(-1234.5, 2, "es")
    ('1,234.50', '−1.234,50')
    """
    group = _GROUP_SIGN.get(language, _GROUP_SIGN[SOURCE_LANGUAGE])
    signs = str.maketrans({",": group, ".": decimal_sign(language), "-": "\N{MINUS SIGN}"})
    return f"{value:,.{decimals}f}".translate(signs)


def percent_text(percent: float, language: str) -> str:
    """Return a percentage as the screens write it, with a space that no line breaks at.

    Parameters
    ----------
    percent : float, percent
    language : str
        ISO 639-1 code; the English decimal sign where it is not known.

    Returns
    -------
    str

    Examples
    --------
    >>> percent_text(12.5, "es").split("\N{NO-BREAK SPACE}")
    ['12,5', '%']
    """
    return f"{number_text(percent, language)}\N{NO-BREAK SPACE}%"


def part_text(part: float, whole: float, language: str) -> str:
    r"""Return what part of a whole is done, in percent, cut off: 100 % is said of all alone, 0 % of nothing alone.

    Papers, reports, screens and maps all say it so (`tests/vectors/numbers/shares.json`).

    Parameters
    ----------
    part, whole : float
        Of one unit.
    language : str
        ISO 639-1 code.

    Returns
    -------
    str

    Examples
    --------
    >>> [part_text(n, 1000, "en").replace("\N{NO-BREAK SPACE}", " ") for n in (0, 1, 516, 999, 1000)]
    ['0 %', '< 1 %', '51 %', '99 %', '100 %']
    """
    if whole <= 0 or part <= 0:
        return percent_text(0, language)
    if part >= whole:
        return percent_text(100, language)
    hundredths = int(100 * part // whole)
    return (
        percent_text(hundredths, language)
        if hundredths
        else f"<\N{NO-BREAK SPACE}{percent_text(1, language)}"
    )


def share_text(share: float, language: str) -> str:
    r"""Return a share as it is said of wood: half, two thirds, or in percent.

    Parameters
    ----------
    share : float, unitless, >= 0
        Part of the whole; 1 is the whole.
    language : str
        ISO 639-1 code; English where it has no catalogue.

    Returns
    -------
    str
        To be followed by "of ..." in the sentence's language.

    Examples
    --------
    >>> share_text(0.5, "en"), share_text(2 / 3, "es"), share_text(0.55, "es")
    ('half', 'dos tercios', 'el 55\xa0%')
    """
    for known, words in _SHARES:
        if abs(share - known) < _SHARE_SLACK:
            return translated(words, language)
    return translated(_PERCENT, language).replace("{percent}", percent_text(100.0 * share, language))


def range_text(low: str | None, high: str | None, language: str) -> str:
    """Return two limits as one phrase.

    Parameters
    ----------
    low, high : str or None
        Limits as they are written, None where there is none; equal ones are said once.
    language : str
        ISO 639-1 code; English where it has no catalogue.

    Returns
    -------
    str
        Empty where there is no limit at all.

    Examples
    --------
    >>> range_text("18", "22", "en"), range_text("24", "24", "en"), range_text(None, "3", "es")
    ('18 to 22', '24', 'como máximo 3')
    """
    if low == high:
        return low or ""
    words = _AT_MOST if low is None else _AT_LEAST if high is None else _BETWEEN
    return translated(words, language).replace("{low}", low or "").replace("{high}", high or "")
