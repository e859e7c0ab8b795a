"""Conversions at the edge; inside, everything is metres, hectares and degrees.

Sources: the international foot and acre are exact by definition (NIST Special Publication 811).
"""

M_PER_FT = 0.3048
M2_PER_HA = 10_000.0
HA_PER_ACRE = 0.40468564224


def ft_to_m(length_ft: float) -> float:
    """Return metres from international feet.

    Returns
    -------
    float
        Metres.

    Examples
    --------
    >>> ft_to_m(10)
    3.048
    """
    return length_ft * M_PER_FT


def acres_to_ha(area_acres: float) -> float:
    """Return hectares from international acres.

    Returns
    -------
    float
        Hectares.

    Examples
    --------
    >>> round(acres_to_ha(2.5), 4)
    1.0117
    """
    return area_acres * HA_PER_ACRE


def m2_to_ha(area_m2: float) -> float:
    """Return hectares from square metres.

    Returns
    -------
    float
        Hectares.

    Examples
    --------
    >>> m2_to_ha(25_000)
    2.5
    """
    return area_m2 / M2_PER_HA
