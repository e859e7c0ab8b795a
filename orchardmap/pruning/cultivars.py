"""Heritage cultivars, where each fruits, and who says so. Nothing here is surer than its source."""

from dataclasses import dataclass
from typing import Literal

from orchardmap.model.orchard import Habit
from orchardmap.pruning import sources

__all__ = ["CULTIVARS", "Cultivar", "HabitCode", "SourceDoubt"]

HabitCode = Literal["S", "PT", "T"]
"""As lists of cultivars print it: spur bearing, part tip bearing, tip bearing."""
SourceDoubt = Literal["", "weak", "disputed"]
"""A list by nobody named; or another list says otherwise."""

_HABIT_OF_CODE: dict[HabitCode, Habit] = {"S": "spur", "PT": "both", "T": "tip"}


@dataclass(frozen=True, slots=True)
class Cultivar:
    """What is published on where one cultivar fruits."""

    name: str
    code: HabitCode
    source: str
    doubt: SourceDoubt = ""

    @property
    def habit(self) -> Habit:
        """The code in the words of a variety."""
        return _HABIT_OF_CODE[self.code]


def _listed(code: HabitCode, source: str, names: str, doubt: SourceDoubt = "") -> tuple[Cultivar, ...]:
    return tuple(Cultivar(name, code, source, doubt) for name in names.split(", "))


CULTIVARS: tuple[Cultivar, ...] = tuple(
    sorted(
        (
            *_listed(
                "S",
                sources.AMATEUR_2019,
                "Ashmead's Kernel, Cox's Orange Pippin, Egremont Russet, Howgate Wonder, James Grieve, Lord Derby, Spartan",
            ),
            *_listed(
                "PT",
                sources.AMATEUR_2019,
                "Adams's Pearmain, Blenheim Orange, Bramley's Seedling, Discovery, Lord Lambourne, Worcester Pearmain",
            ),
            *_listed("T", sources.HERITAGE_2014, "Cornish Gilliflower, Genet Moyle, Irish Peach"),
            *_listed("PT", sources.MORGAN_2013, "Northern Spy", "disputed"),
            *_listed("PT", sources.NORTHERN_GROUP, "Belle de Boskoop"),
            *_listed("T", sources.USDA_TYPES, "Rome Beauty"),
            *_listed("T", sources.PHILLIPS_2005, "Cortland"),
            *_listed("S", sources.WEB_LIST, "Arkansas Black, Idared, Lady, Macoun, Stayman Winesap", "weak"),
        ),
        key=lambda cultivar: cultivar.name,
    )
)
"""By name. A cultivar whose habit is only remembered, or that its source calls something between the codes, is left out."""
