"""Who works on the invented farm, and what grows there. Every name of a person, crew or place was made up."""

from dataclasses import dataclass

from orchardmap.model.orchard import Habit
from orchardmap.model.people import Method, Role

FARM_NAME = "Ottlemere Farm"
NEIGHBOUR_NAME = "Skirrow Bank"
"""A smaller farm that the same adviser advises."""
TIME_ZONE = "Europe/London"

MANAGER = "Gwenllian Pugh-Adeyemi"
ADVISER = "Tomasz Okonjo"
AUDITORS = ("Marit Solbakken", "Devraj Pillai")
OTHERS: tuple[tuple[str, Role], ...] = (
    (MANAGER, "manager"),
    (ADVISER, "adviser"),
    (AUDITORS[0], "auditor"),
    (AUDITORS[1], "auditor"),
)


@dataclass(frozen=True, slots=True)
class Gang:
    """A crew as the invention knows it: its people, and how they work."""

    name: str
    foreman: str
    workers: tuple[str, ...]
    method: Method
    speed: float
    """Share of the usual pace; below 1 is slower."""
    fault_share: float
    """Of the trees it prunes, how many are faulty outside the weak patches."""
    blocks: tuple[str, ...]
    """Codes of its blocks, in the order of work."""


GANGS: tuple[Gang, ...] = (
    Gang(
        "Rook", "Ilinca Drăgulescu", ("Petru Moisa", "Anca Velicu"), "ladder", 1.0, 0.045,
        ("H6", "R5", "H1", "H3", "H2", "H4"),
    ),
    Gang(
        "Heron", "Kwame Asare-Boadu", ("Efua Lamptey", "Joseph Tetteh"), "ladder", 1.05, 0.055,
        ("W4", "W3", "W2", "W5"),
    ),
    Gang(
        "Wren", "Bronagh O'Haverty", ("Cillian Roe", "Síle Darragh", "Ivo Branković"), "platform", 1.0, 0.04,
        ("B4", "L1", "L2", "L3", "L6", "L4", "L5"),
    ),
    Gang(
        "Plover", "Jaspreet Dhanoa", ("Harleen Sohi", "Nirmal Rai"), "ladder", 0.95, 0.06,
        ("M2", "M4", "M1", "M3", "M5"),
    ),
    Gang(
        "Finch", "Zofia Wyrzykowska", ("Kacper Nalepa", "Olha Tkach"), "platform", 1.1, 0.07,
        ("B1", "B2", "R4", "R1", "B3"),
    ),
    Gang(
        "Stoat", "Dafydd Prosser-Lee", ("Mai Thi Khuong", "Luís Falcão"), "ladder", 0.62, 0.08,
        ("R3", "H5", "W1", "R2", "B5"),
    ),
)  # fmt: skip
SLOW_GANG = "Stoat"

_GARDEN = (
    "Amateur Gardening, January 2019: "
    "https://www.amateurgardening.com/top-tips/fruit-veg/apples-and-pears-tip-or-spur-bearing-5979"
)
_ORIGINS = (
    "Orchard Origins, 23 July 2014: "
    "https://orchardorigins.org/2014/07/23/spur-bearing-and-tip-bearing-fruit-trees/"
)

VARIETIES: tuple[tuple[str, Habit, str], ...] = (
    ("Adams's Pearmain", "both", _GARDEN),
    ("Ashmead's Kernel", "spur", _GARDEN),
    ("Blenheim Orange", "both", _GARDEN),
    ("Bramley's Seedling", "both", _GARDEN),
    ("Cornish Gilliflower", "tip", _ORIGINS),
    ("Cox's Orange Pippin", "spur", f"{_GARDEN}; {_ORIGINS}"),
    ("Egremont Russet", "spur", f"{_GARDEN}; {_ORIGINS}"),
    ("Genet Moyle", "tip", _ORIGINS),
    ("Howgate Wonder", "spur", _GARDEN),
    ("Irish Peach", "tip", _ORIGINS),
    ("James Grieve", "spur", f"{_GARDEN}; {_ORIGINS}"),
    ("Lord Derby", "spur", _GARDEN),
    ("Lord Lambourne", "both", _GARDEN),
    ("Worcester Pearmain", "both", _GARDEN),
)

BIENNIAL = frozenset({"Blenheim Orange", "Bramley's Seedling"})
"""Orchard Origins, 1 July 2015: https://orchardorigins.org/2015/07/01/apple-feast-or-apple-famine-the-problem-of-biennial-bearing/
Of the others no source was found that says so; they count as bearing every year."""
CANKER_PRONE = frozenset({"Bramley's Seedling", "Cox's Orange Pippin", "Egremont Russet"})
"""Moderately susceptible by NIAB's table of varieties:
https://niab.com/factors-affecting-tree-susceptibility-n-ditissima-and-canker-development-apple-canker
The others are not in what could be read of it; they count as not prone."""
