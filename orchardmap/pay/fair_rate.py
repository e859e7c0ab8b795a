"""A piece rate from a wage: what a tree must bring so that somebody of average pace earns the wage and so much more."""

from decimal import Decimal
from fractions import Fraction

from orchardmap.errors import InputError

__all__ = ["fair_piece_rate"]


def fair_piece_rate(wage: Decimal, trees: Decimal, factor: Decimal) -> Fraction:
    """Return a fair piece rate, exact; `orchardmap.pay.money.Rounding` with ``up`` makes it one that can be paid.

    Parameters
    ----------
    wage : Decimal
        For an hour, a day or a week, >= 0.
    trees : Decimal
        What somebody of average pace prunes in that time, found by a test of a typical group and not of the fastest.
    factor : Decimal
        How many times the wage that one is to earn: 1.2 where a law says that the average rate is divided by 1.2, 1.15 where it says 15 % more.

    Returns
    -------
    Fraction
        For a tree, in the currency's main unit.

    Raises
    ------
    InputError
        If a number cannot be used; ``where`` names it.

    Examples
    --------
    >>> fair_piece_rate(Decimal("6.31"), Decimal(12), Decimal("1.2")) == Fraction("0.631")
    True
    """
    if wage < 0:
        raise InputError(f"It is {wage}.", where="wage", todo="Give 0 or more.")
    for name, value in (("average_trees", trees), ("factor", factor)):
        if value <= 0:
            raise InputError(f"It is {value}.", where=name, todo="Give more than 0.")
    return Fraction(wage) * Fraction(factor) / Fraction(trees)
