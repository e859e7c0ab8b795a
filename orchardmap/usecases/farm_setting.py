"""Read and set what a farm goes by in its advice on hazards and timing."""

from collections.abc import Mapping
from dataclasses import asdict, replace
from datetime import datetime

from orchardmap.errors import InputError
from orchardmap.model.lot import TwoPoints
from orchardmap.pruning.farm_settings import FarmSettings, changed_settings
from orchardmap.quality.two_points import two_point_plan
from orchardmap.store import audit, log, orchard
from orchardmap.store import farm as farm_store
from orchardmap.store import farm_settings as setting_store
from orchardmap.store.session import Store

__all__ = ["read_settings", "save_settings"]


def read_settings(store: Store, farm_id: str) -> FarmSettings:
    """Return the settings of a farm.

    Raises
    ------
    UnknownError
        If no farm has that id.
    """
    with store.read() as conn:
        return setting_store.farm_settings(conn, farm_store.farm(conn, farm_id).id)


def save_settings(
    store: Store, *, farm_id: str, changes: Mapping[str, float | str], actor: str = "shell", now: datetime
) -> FarmSettings:
    """Set some of a farm's settings, and let tablets fetch its blocks again: their hazards hang on them.

    Parameters
    ----------
    store : Store
        Open for writing.
    farm_id : str
        The farm.
    changes : mapping of str to float or str
        Name of a setting to its number or choice; what is left out stays as it is.
    actor : str
        As the audit log names who says so.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    FarmSettings
        As they are now.

    Raises
    ------
    UnknownError
        If no farm has that id.
    InputError
        If a name is not known, a number is out of its bounds, no such choice is there, or no number of checks keeps
        the two promises; nothing is changed then.
    """
    with store.write() as conn:
        log.lock_farm(conn, farm_id)
        kept = setting_store.farm_settings(conn, farm_id)
        made = changed_settings(kept, changes)
        _refuse_without_plan(made)
        new = {name: value for name, value in asdict(made).items() if value != getattr(kept, name)}
        if new:
            setting_store.save_farm_settings(conn, farm_id, new)
            blocks = orchard.blocks(conn, farm_id)
            told = [log.Change("settings", farm_id, one.id) for one in blocks]
            log.append_changes(conn, farm_id, told or [log.Change("settings", farm_id)])
            said = {name: str(value) for name, value in new.items()}
            audit.note(conn, "settings_saved", at=now, actor=actor, subject=farm_id, farm_id=farm_id, **said)
    return made


def _refuse_without_plan(settings: FarmSettings) -> None:
    """Raise if two promises ask for more checks than anybody makes: no lot could be drawn, nor a block be judged."""
    plan = replace(settings, check_kind="two_points").lot_plan
    if isinstance(plan, TwoPoints):
        try:
            two_point_plan(plan.p1, plan.pa1, plan.p2, plan.pa2, model="binomial")
        except InputError as error:
            raise InputError(error.what, where="check_p2_percent", todo=error.todo) from error
