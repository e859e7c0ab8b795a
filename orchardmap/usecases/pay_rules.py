"""What a farm pays by, and what its season may cost: entered by the farm, never assumed."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal, InvalidOperation
from typing import Any

from orchardmap.errors import ConflictError, InputError, UnknownError
from orchardmap.model.pay import Budget, KeptRules
from orchardmap.pay.terms import PayTerms
from orchardmap.pay.terms_json import terms_from_json, terms_json
from orchardmap.store import audit, log
from orchardmap.store import farm as farm_store
from orchardmap.store import pay as pay_store
from orchardmap.store.session import Connection, Store
from orchardmap.usecases.moments import moment

__all__ = ["Doer", "budget_json", "rules_json", "save_budget", "save_rules", "terms_of"]

Json = dict[str, Any]
_CURRENCY = re.compile("[A-Z]{3}")
"""A code of ISO 4217; which ones there are changes, so that none is refused."""


@dataclass(frozen=True, slots=True)
class Doer:
    """Who does something, and when."""

    id: str | None
    """Account; None for the shell."""
    actor: str
    """The same as the audit log names it."""
    now: datetime
    """By the server's clock."""


def terms_of(rules: KeptRules) -> PayTerms | None:
    """Return the terms that are kept, None where nobody said any."""
    return terms_from_json(dict(rules.said)) if rules.revision else None


def rules_json(store: Store, farm_id: str) -> Json:
    """Return what a farm pays by, with the revision that a change must name.

    Raises
    ------
    UnknownError
        If no farm has that id.
    """
    with store.read() as conn:
        kept = pay_store.kept_rules(conn, farm_store.farm(conn, farm_id).id)
    return _told(kept)


def _told(kept: KeptRules) -> Json:
    return {"revision": kept.revision, "rules": dict(kept.said) if kept.revision else None}


def save_rules(store: Store, *, farm_id: str, rules: Mapping[str, Any], revision: int, by: Doer) -> Json:
    """Keep what a farm pays by from now on.

    Parameters
    ----------
    store : Store
        Open for writing.
    farm_id : str
        The farm.
    rules : mapping
        As `orchardmap.pay.terms_json` reads them; varieties are ids.
    revision : int
        The one that was read before; 0 for the first.
    by : Doer

    Returns
    -------
    dict
        As `rules_json`.

    Raises
    ------
    InputError
        If a rule cannot be used, or no currency is named; nothing is changed then.
    UnknownError
        If a rate names a variety that the farm does not have.
    ConflictError
        If somebody saved meanwhile, or the season was paid in another currency.
    """
    terms = terms_from_json(dict(rules))
    if not _CURRENCY.fullmatch(terms.currency.code):
        raise InputError(
            "no currency is named by its three letters",
            where="currency",
            todo="Say what you pay in, such as EUR.",
        )
    with store.write() as conn:
        log.lock_farm(conn, farm_id)
        kept = pay_store.kept_rules(conn, farm_id)
        if kept.revision != revision:
            raise ConflictError(
                "somebody saved the rules of pay meanwhile", where="revision", todo="Read them again."
            )
        farm_store.refuse_foreign_varieties(conn, farm_id, {rate.variety for rate in terms.rates})
        _refuse_other_currency(conn, farm_id, terms, by.now)
        made = KeptRules(terms_json(terms), revision + 1)
        pay_store.save_rules(conn, farm_id, made, saved_at=by.now, saved_by=by.id)
        log.append_changes(conn, farm_id, [log.Change("pay", farm_id)])
        audit.note(
            conn,
            "pay_rules_saved",
            at=by.now,
            actor=by.actor,
            subject=farm_id,
            farm_id=farm_id,
            revision=made.revision,
        )
    return _told(made)


def _refuse_other_currency(conn: Connection, farm_id: str, terms: PayTerms, now: datetime) -> None:
    """Raise if runs of the season were paid in another currency: differences to them would mix the two."""
    season = moment(conn, farm_id, None, now).season
    for run in pay_store.runs(conn, season.id) if season else ():
        paid_in = terms_from_json(dict(run.rules)).currency
        if paid_in != terms.currency:
            raise ConflictError(
                f"pay run {run.number} of this season was paid in {paid_in.code}",
                where="currency",
                todo="Another currency can begin with another season.",
            )


def budget_json(store: Store, farm_id: str, *, now: datetime) -> Json | None:
    """Return what the season may cost, None where nobody said."""
    with store.read() as conn:
        season = moment(conn, farm_id, None, now).season
        kept = pay_store.budget(conn, season.id) if season else None
    return None if kept is None else {"amount": f"{kept.amount:f}", "is_per_tree": kept.is_per_tree}


def save_budget(
    store: Store, *, farm_id: str, amount: str | None, is_per_tree: bool, by: Doer
) -> Json | None:
    """Keep what the season may cost, in all or for each tree; no amount forgets it.

    Raises
    ------
    InputError
        If it is no amount above 0.
    UnknownError
        If the farm has no season.
    """
    said = None if amount is None else _amount(amount)
    with store.write() as conn:
        log.lock_farm(conn, farm_id)
        season = moment(conn, farm_id, None, by.now).season
        if season is None:
            raise UnknownError("the farm has no season yet", where="season", todo="Open one in Set-up.")
        made = None if said is None else Budget(season.id, farm_id, said, is_per_tree)
        pay_store.save_budget(conn, season.id, made, saved_at=by.now, saved_by=by.id)
        log.append_changes(conn, farm_id, [log.Change("pay", farm_id)])
        audit.note(conn, "budget_saved", at=by.now, actor=by.actor, subject=season.id, farm_id=farm_id)
    return budget_json(store, farm_id, now=by.now)


def _amount(text: str) -> Decimal:
    try:
        amount = Decimal(text)
    except InvalidOperation:
        amount = Decimal(0)
    if not amount.is_finite() or not 0 < amount < Decimal("1e12"):
        raise InputError("it is no amount of money", where="amount", todo="Give a number above 0.")
    return amount
