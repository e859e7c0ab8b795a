"""How many faulty trees a crew's checks had to be expected to show, whoever had pruned them. Pure."""

from collections import defaultdict
from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass

__all__ = ["CrewInBlock", "ExpectedFaulty", "expected_faulty"]


@dataclass(frozen=True, slots=True)
class CrewInBlock:
    """The checks of one crew's trees in one block."""

    crew_id: str
    block_id: str
    variety_id: str | None
    habit: str
    """Of the variety: where it fruits."""
    checked: int
    faulty: int


@dataclass(frozen=True, slots=True)
class ExpectedFaulty:
    """What one crew is held against."""

    checked: int
    """Trees that can be compared with those of other crews."""
    faulty: int
    expected: float
    """Faulty trees."""
    alone: int
    """Of the trees checked: in blocks where no other crew was checked, held against the same variety or habit elsewhere."""
    left_out: int
    """Trees that nothing on the farm can be compared with; in none of the other numbers."""


def expected_faulty(found: Sequence[CrewInBlock]) -> dict[str, ExpectedFaulty]:
    """Return what each crew is held against: over its blocks, its checks times the share of faulty trees there.

    Parameters
    ----------
    found : sequence of CrewInBlock
        Each crew once in a block.

    Returns
    -------
    dict of str to ExpectedFaulty
        By crew id. In a block where several crews were checked the share is that of all checks there, so a bad block is
        blamed on nobody. Where a crew was the only one, block and crew cannot be told apart: its checks there are held
        against the variety's share if several crews were checked in the variety, else the habit's, else the farm's; what
        can be held against nothing is left out.

    Examples
    --------
    >>> told = expected_faulty([
    ...     CrewInBlock("a", "1", "v", "spur", 60, 12),
    ...     CrewInBlock("b", "1", "v", "spur", 40, 8),
    ...     CrewInBlock("a", "2", "v", "spur", 50, 4),
    ... ])
    >>> told["a"].expected, told["a"].alone, told["b"].expected
    (20.0, 50, 8.0)
    """
    shares = [_shares(found, of) for of in _NARROW_TO_WIDE]
    told: dict[str, ExpectedFaulty] = {}
    for crew_id in dict.fromkeys(one.crew_id for one in found):
        checked = faulty = alone = left_out = 0
        expected = 0.0
        for one in (one for one in found if one.crew_id == crew_id):
            known = [at for at, of in enumerate(_NARROW_TO_WIDE) if of(one) in shares[at]]
            if not known:
                left_out += one.checked
                continue
            checked += one.checked
            faulty += one.faulty
            expected += one.checked * shares[known[0]][_NARROW_TO_WIDE[known[0]](one)]
            alone += one.checked if known[0] else 0
        told[crew_id] = ExpectedFaulty(checked, faulty, min(expected, float(checked)), alone, left_out)
    return told


_NARROW_TO_WIDE: tuple[Callable[[CrewInBlock], Hashable], ...] = (
    lambda one: one.block_id,
    lambda one: (one.variety_id,) if one.variety_id else one.block_id,
    lambda one: one.habit,
    lambda _: "",
)


def _shares(found: Sequence[CrewInBlock], of: Callable[[CrewInBlock], Hashable]) -> dict[Hashable, float]:
    """Return the share of faulty trees by what they are put together by, where more than one crew was checked."""
    checked: dict[Hashable, int] = defaultdict(int)
    faulty: dict[Hashable, int] = defaultdict(int)
    crews: dict[Hashable, set[str]] = defaultdict(set)
    for one in found:
        if one.checked:
            checked[of(one)] += one.checked
            faulty[of(one)] += one.faulty
            crews[of(one)].add(one.crew_id)
    return {key: faulty[key] / checked[key] for key, several in crews.items() if len(several) > 1}
