"""What a farm sets for its advice on hazards and timing, for counting and for spot checks: first guesses with their source, never rules of law."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from typing import Any

from orchardmap.errors import InputError
from orchardmap.model.brief import COMMON_PRACTICE
from orchardmap.model.lot import AQLS, LEVELS, LotPlan, TablePlan, TwoPoints
from orchardmap.pruning import counting, timing
from orchardmap.pruning.clearance import LineClearance

__all__ = ["SETTINGS", "ChoiceRule", "FarmSettings", "SettingRule", "changed_settings", "settings_json"]

_LINES = LineClearance()
_FROST = "Penn State, in Fruit Growers News, 14 January 2016"
_CHECKS = "a first guess: no figure for pruning is published"


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
    check_kind: str = "attributes"
    """How many trees of a lot are checked: by the tables, or by two promises (``two_points``)."""
    check_level: str = "I"
    check_aql: float = 4.0
    """Percent of faulty trees."""
    check_p1_percent: float = 5.0
    """A lot with this share of faulty trees passes ..."""
    check_pa1_percent: float = 95.0
    """... so many times in a hundred at the least, ..."""
    check_p2_percent: float = 15.0
    """... and one with this share ..."""
    check_pa2_percent: float = 10.0
    """... so many times at the most."""
    check_extra_trees: int = 0
    """Drawn besides; they never enter a verdict."""
    check_reduced_agreed: str = "no"
    """Whether a crew whose lots are good is checked less."""
    weak_area_level_percent: float = 10.0
    """Of chance, at which an area is called weak."""

    @property
    def lot_plan(self) -> LotPlan:
        """How many trees of a lot the farm has checked, under normal inspection."""
        if self.check_kind == "attributes":
            return TablePlan(self.check_level, self.check_aql)
        points = (
            self.check_p1_percent,
            self.check_pa1_percent,
            self.check_p2_percent,
            self.check_pa2_percent,
        )
        return TwoPoints(*(percent / 100.0 for percent in points))

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
    """What a setting that is a number may be, and where its first guess comes from."""

    unit: str
    """As it is written behind the number; the same in every language, empty for a plain number."""
    low: float
    high: float
    source: str
    is_whole: bool = False

    def refusal(self, value: float | str) -> str:
        """Return why it cannot be that, empty where it can."""
        # written so that what is no number is refused too
        fits = not isinstance(value, str) and self.low <= value <= self.high
        if fits and (not self.is_whole or value == int(value)):
            return ""
        kind = "a whole number" if self.is_whole else "a number"
        return f"It must be {kind} from {self.low:g} to {self.high:g} {self.unit}".rstrip() + "."

    def typed(self, value: float | str) -> float | str:
        """Return it as it is kept."""
        return int(value) if self.is_whole else float(value)


@dataclass(frozen=True, slots=True)
class ChoiceRule:
    """What a setting that is one of a few may be, and where its first guess comes from."""

    choices: tuple[str, ...] | tuple[float, ...]
    source: str
    unit: str = ""

    def refusal(self, value: float | str) -> str:
        """Return why it cannot be that, empty where it can."""
        return "" if value in self.choices else f"It must be one of {', '.join(map(str, self.choices))}."

    def typed(self, value: float | str) -> float | str:
        """Return it as it is kept."""
        return next(one for one in self.choices if one == value)


SETTINGS: Mapping[str, SettingRule | ChoiceRule] = {
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
    "check_kind": ChoiceRule(("attributes", "two_points"), _CHECKS),
    "check_level": ChoiceRule(LEVELS, _CHECKS),
    "check_aql": ChoiceRule(AQLS, _CHECKS, "%"),
    "check_p1_percent": SettingRule("%", 0.1, 50, _CHECKS),
    "check_pa1_percent": SettingRule("%", 50, 99.9, COMMON_PRACTICE),
    "check_p2_percent": SettingRule("%", 1, 90, _CHECKS),
    "check_pa2_percent": SettingRule("%", 0.1, 49, COMMON_PRACTICE),
    "check_extra_trees": SettingRule("", 0, 100, _CHECKS, is_whole=True),
    "check_reduced_agreed": ChoiceRule(("no", "yes"), _CHECKS),
    "weak_area_level_percent": ChoiceRule((1.0, 5.0, 10.0, 20.0), COMMON_PRACTICE, "%"),
}
"""By the names of `FarmSettings`, in the order they are shown."""


def changed_settings(kept: FarmSettings, changes: Mapping[str, float | str]) -> FarmSettings:
    """Return settings with some of them said anew.

    Parameters
    ----------
    kept : FarmSettings
        As they are; whatever is not among the changes stays so.
    changes : mapping of str to float or str
        Name of a setting to its number, in the unit of `SETTINGS`, or to its choice.

    Returns
    -------
    FarmSettings

    Raises
    ------
    InputError
        If a name is not known, a number is out of its bounds or no such choice is there; ``where`` is the name.

    Examples
    --------
    >>> changed_settings(FarmSettings(), {"line_reach_m": 4.5}).line_reach_m
    4.5
    """
    for name, value in changes.items():
        if name not in SETTINGS:
            raise InputError(
                "There is no such setting.", where=name[:60], todo=f"Known: {', '.join(SETTINGS)}."
            )
        if refusal := SETTINGS[name].refusal(value):
            raise InputError(refusal, where=name)
    typed: Any = {name: SETTINGS[name].typed(value) for name, value in changes.items()}
    made = replace(kept, **typed)
    if made.frost_falling_risk_days < made.frost_high_risk_days:
        raise InputError(
            "The risk cannot be over before it is highest.",
            where="frost_falling_risk_days",
            todo=f"Give {made.frost_high_risk_days} days or more.",
        )
    if made.check_p2_percent <= made.check_p1_percent:
        raise InputError(
            "What is sent back must be worse than what passes.",
            where="check_p2_percent",
            todo=f"Give more than {made.check_p1_percent:g} %.",
        )
    return made


def settings_json(settings: FarmSettings) -> list[dict[str, object]]:
    """Return settings as a form shows them: each with its bounds or choices, unit, first guess and that one's source."""
    first, now = asdict(FarmSettings()), asdict(settings)
    return [
        {"name": name, "value": now[name], "default": first[name], **asdict(rule)}
        for name, rule in SETTINGS.items()
    ]
