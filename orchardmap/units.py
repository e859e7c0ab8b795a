"""Conversions at the edge; inside, everything is metres, hectares, degrees and degrees Celsius.

Sources: the international foot, inch and acre, and the degree Fahrenheit, are exact by definition (NIST Special
Publication 811). There is none of bushels: how many fruit fill one differs by market, so it is always asked for.
"""

M_PER_FT = 0.3048
CM_PER_IN = 2.54
M2_PER_HA = 10_000.0
HA_PER_ACRE = 0.40468564224
C_PER_F = 5.0 / 9.0


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


def per_acre_to_per_ha(per_acre: float) -> float:
    """Return a density per hectare from one per international acre.

    Returns
    -------
    float
        Per hectare, of whatever was counted.

    Examples
    --------
    >>> round(per_acre_to_per_ha(1000))
    2471
    """
    return per_acre / HA_PER_ACRE


def per_ha_to_per_acre(per_ha: float) -> float:
    """Return a density per international acre from one per hectare.

    Returns
    -------
    float
        Per acre, of whatever was counted.

    Examples
    --------
    >>> round(per_ha_to_per_acre(2471))
    1000
    """
    return per_ha * HA_PER_ACRE


def inches_to_cm(length_in: float) -> float:
    """Return centimetres from international inches.

    Returns
    -------
    float
        Centimetres.

    Examples
    --------
    >>> inches_to_cm(1.5)
    3.81
    """
    return length_in * CM_PER_IN


def fahrenheit_to_celsius(temperature_f: float) -> float:
    """Return a temperature in degrees Celsius.

    Returns
    -------
    float
        Degrees Celsius. A difference of temperatures, or degree days, is multiplied by `C_PER_F` instead.

    Examples
    --------
    >>> fahrenheit_to_celsius(50)
    10.0
    """
    return (temperature_f - 32.0) * C_PER_F


def celsius_to_fahrenheit(temperature_c: float) -> float:
    """Return a temperature in degrees Fahrenheit.

    Returns
    -------
    float
        Degrees Fahrenheit.

    Examples
    --------
    >>> celsius_to_fahrenheit(10)
    50.0
    """
    return temperature_c / C_PER_F + 32.0


def output_ratio(time_saved_share: float) -> float:
    """Return how many times as much gets done in an hour when a piece of work takes that much less time.

    Parameters
    ----------
    time_saved_share : float, 0 up to but not 1
        Share of the time that is saved: 0.37 for "37 % less time", which is not "37 % faster".

    Returns
    -------
    float
        1 where nothing is saved, more otherwise.

    Examples
    --------
    >>> round(output_ratio(0.37), 3)
    1.587
    """
    return 1.0 / (1.0 - time_saved_share)
