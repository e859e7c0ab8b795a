"""What a farm sets for its advice on hazards and on timing: first guesses with their source, never rules of law."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace

from orchardmap.errors import InputError
from orchardmap.model.brief import COMMON_PRACTICE
from orchardmap.pruning import counting, timing
from orchardmap.pruning.clearance import LineClearance

__all__ = ["SETTINGS", "FarmSettings", "SettingRule", "changed_settings", "settings_json"]

_LINES = LineClearance()
_FROST = "Penn State, in Fruit Growers News, 14 January 2016"


@dataclass(frozen=True, slots=True)
class FarmSettings:
    """The settings of one farm, with what holds where nobody set anything else. Units stand in the names."""

    hard_frost_c: float = timing.HARD_FROST_C
    """A minimum at or below it harms fresh cuts."""
    frost_high_risk_days: int = timing.HIGH_RISK_DAYS
    """From a cut, within which a hard frost harms it most."""
    frost_falling_risk_days: int = timing.FALLING_RISK_DAYS
    """From a cut, within which that risk fades."""
    wet_day_mm: float = timing.WET_DAY_MM
    """Rain of a wet day, at least."""
    line_base_m: float = _LINES.base_m
    """Least distance from a power line of up to `line_base_kv`."""
    line_base_kv: float = _LINES.base_kv
    """Voltage to ground."""
    line_step_m: float = _LINES.step_m
    """More for every begun `line_step_kv` above."""
    line_step_kv: float = _LINES.step_kv
    line_reach_m: float = 3.0
    """How far people, ladders, poles and platforms reach out of a row, beyond the least distance."""
    slope_caution_percent: float = 15.0
    """Rise over run from which a block is called steep."""
    count_half_width_percent: float = 100.0 * counting.HALF_WIDTH_SHARE
    """How near the mean of counted trees must be known before enough were counted, in hundredths of itself."""
    count_confidence_percent: float = 100.0 * counting.CONFIDENCE
    """Of that mean's interval."""

    @property
    def line_clearance(self) -> LineClearance:
        """The farm's rule on distances from power lines."""
        return LineClearance(self.line_base_m, self.line_base_kv, self.line_step_m, self.line_step_kv)

    @property
    def count_aim(self) -> dict[str, float]:
        """How well counting is to know a mean, as `orchardmap.pruning.counting.count_estimate` takes it."""
        return {
            "half_width_share": self.count_half_width_percent / 100.0,
            "confidence": self.count_confidence_percent / 100.0,
        }


@dataclass(frozen=True, slots=True)
class SettingRule:
    """What one setting may be, and where its first guess comes from."""

    unit: str
    """As it is written behind the number; the same in every language."""
    low: float
    high: float
    source: str
    is_whole: bool = False


SETTINGS: Mapping[str, SettingRule] = {
    "hard_frost_c": SettingRule("°C", -40, 0, _FROST),
    "frost_high_risk_days": SettingRule("d", 0, 30, _FROST, is_whole=True),
    "frost_falling_risk_days": SettingRule("d", 0, 60, _FROST, is_whole=True),
    "wet_day_mm": SettingRule("mm", 0.1, 100, COMMON_PRACTICE),
    "line_base_m": SettingRule("m", 1, 50, _LINES.source),
    "line_base_kv": SettingRule("kV", 0, 1000, _LINES.source),
    "line_step_m": SettingRule("m", 0, 10, _LINES.source),
    "line_step_kv": SettingRule("kV", 1, 1000, _LINES.source),
    "line_reach_m": SettingRule("m", 0, 20, COMMON_PRACTICE),
    "slope_caution_percent": SettingRule("%", 1, 100, COMMON_PRACTICE),
    "count_half_width_percent": SettingRule("%", 1, 50, COMMON_PRACTICE),
    "count_confidence_percent": SettingRule("%", 50, 99, COMMON_PRACTICE),
}
"""By the names of `FarmSettings`, in the order they are shown."""


def changed_settings(kept: FarmSettings, changes: Mapping[str, float]) -> FarmSettings:
    """Return settings with some of them said anew.

    Parameters
    ----------
    kept : FarmSettings
        As they are; whatever is not among the changes stays so.
    changes : mapping of str to float
        Name of a setting to its number, in the unit of `SETTINGS`.

    Returns
    -------
    FarmSettings

    Raises
    ------
    InputError
        If a name is not known, or a number is out of its bounds; ``where`` is the name.

    Examples
    --------
    >>> changed_settings(FarmSettings(), {"line_reach_m": 4.5}).line_reach_m
    4.5
    """
    for name, value in changes.items():
        rule = SETTINGS.get(name)
        if rule is None:
            raise InputError(
                "There is no such setting.", where=name[:60], todo=f"Known: {', '.join(SETTINGS)}."
            )
        # written so that what is no number is refused too
        if not rule.low <= value <= rule.high or (rule.is_whole and value != int(value)):
            kind = "a whole number" if rule.is_whole else "a number"
            raise InputError(f"It must be {kind} from {rule.low:g} to {rule.high:g} {rule.unit}.", where=name)
    typed = {name: int(value) if SETTINGS[name].is_whole else float(value) for name, value in changes.items()}
    made = replace(kept, **typed)  # type: ignore[arg-type] # whole ones are int, as their fields are
    if made.frost_falling_risk_days < made.frost_high_risk_days:
        raise InputError(
            "The risk cannot be over before it is highest.",
            where="frost_falling_risk_days",
            todo=f"Give {made.frost_high_risk_days} days or more.",
        )
    return made


def settings_json(settings: FarmSettings) -> list[dict[str, object]]:
    """Return settings as a form shows them: each with its bounds, unit, first guess and that one's source."""
    first, now = asdict(FarmSettings()), asdict(settings)
    return [
        {
            "name": name,
            "value": now[name],
            "default": first[name],
            "unit": rule.unit,
            "low": rule.low,
            "high": rule.high,
            "is_whole": rule.is_whole,
            "source": rule.source,
        }
        for name, rule in SETTINGS.items()
    ]
