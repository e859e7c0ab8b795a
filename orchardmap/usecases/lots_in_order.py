"""Which lots were sent back and are in order again, by the returns made from them."""

from collections import defaultdict
from collections.abc import Iterable, Sequence

from orchardmap.usecases.lot_verdicts import JudgedLot
from orchardmap.usecases.return_facts import ReturnFacts

__all__ = ["lots_put_right"]


def lots_put_right(judged: Iterable[JudgedLot], returns: Iterable[ReturnFacts]) -> set[str]:
    """Return the ids of the lots that were sent back and are in order now.

    Parameters
    ----------
    judged : iterable of JudgedLot
        Of some blocks, all of them.
    returns : iterable of ReturnFacts
        Of the same blocks; cancelled ones do not count.

    Returns
    -------
    set of str
        A lot is put right when it has returns and each was confirmed by a new check. One that failed the new check is
        made good by a later return of the same lot, or by the returns of the lot that failed it. A lot drawn over a return
        is put right too once a later one over the same return confirms it: the first one sent the crew there.
    """
    standing = [one for one in judged if one.lot.stands and one.found.verdict == "send_back"]
    rechecks = {one.lot.return_id: one.lot.id for one in sorted(standing, key=lambda one: one.lot.number)}
    of_lot: defaultdict[str | None, list[ReturnFacts]] = defaultdict(list)
    confirmed = set()
    for one in sorted(returns, key=lambda one: one.said.number):
        if one.state != "cancelled":
            of_lot[one.said.lot_id].append(one)
        if one.state == "confirmed":
            confirmed.add(one.said.id)

    def is_right(lot_id: str) -> bool:
        made = of_lot[lot_id]
        return bool(made) and all(is_good(one, made[at + 1 :]) for at, one in enumerate(made))

    def is_good(one: ReturnFacts, later: Sequence[ReturnFacts]) -> bool:
        if one.state == "failed":
            return any(other.state == "confirmed" for other in later) or is_right(rechecks[one.said.id])
        return one.state == "confirmed"

    return {one.lot.id for one in standing if one.lot.return_id in confirmed or is_right(one.lot.id)}
