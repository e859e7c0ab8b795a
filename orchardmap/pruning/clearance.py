"""How far unqualified people stay from an overhead power line. A setting with a source; local law decides."""

import math
from dataclasses import dataclass

from orchardmap.errors import InputError

__all__ = ["LineClearance", "line_clearance_m"]


@dataclass(frozen=True, slots=True)
class LineClearance:
    """The numbers of the rule, with those of 29 CFR 1910.269 (line-clearance tree trimming) as the first guess."""

    base_m: float = 3.05
    """10 ft; also the least distance of unqualified workers in 29 CFR 1910.333(c)(3)(i)."""
    base_kv: float = 50.0
    """Voltage to ground up to which `base_m` is enough."""
    step_m: float = 0.10
    """4 in more for every `step_kv` above."""
    step_kv: float = 10.0
    source: str = "29 CFR 1910.269, line-clearance tree trimming; 29 CFR 1910.333(c)(3)(i)"


def line_clearance_m(line_kv: float, rule: LineClearance = LineClearance()) -> float:
    """Return the least distance from a line of a given voltage.

    Parameters
    ----------
    line_kv : float, kilovolts
        Voltage to ground, >= 0.
    rule : LineClearance
        The farm's setting.

    Returns
    -------
    float
        Metres. Long tools and poles reach into it: it is meant for whatever comes nearest.

    Raises
    ------
    InputError
        If the voltage is negative or not a finite number.

    Notes
    -----
    ``base_m + step_m * ceil((line_kv - base_kv) / step_kv)`` above ``base_kv``, 29 CFR 1910.269. A begun step counts
    whole: the rule does not say how to divide it, and this is the safe side.

    Examples
    --------
    >>> line_clearance_m(50)
    3.05
    >>> round(line_clearance_m(230), 2)
    4.85
    """
    if not math.isfinite(line_kv) or line_kv < 0:
        raise InputError(
            f"A voltage must be a number of kilovolts from 0 up, not {line_kv}.", where="line_kv"
        )
    steps = math.ceil(max(0.0, line_kv - rule.base_kv) / rule.step_kv)
    return rule.base_m + rule.step_m * steps
