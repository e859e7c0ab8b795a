"""What leaves the farm as a file."""

from datetime import date, datetime

from orchardmap.maps.page import map_file
from orchardmap.store.session import Store
from orchardmap.usecases import blocks, farm_features, glance, reporting
from orchardmap.usecases.moments import moment, refuse_day_to_come

__all__ = ["map_document"]


def map_document(store: Store, farm_id: str, *, day: date | None, now: datetime) -> str:
    """Return the farm's map as one HTML text that needs no network: legend, rows, checks, all inside.

    Parameters
    ----------
    store : Store
        Open for reading.
    farm_id : str
        The farm.
    day : date or None
        As of this day; None is today.
    now : datetime with time zone
        The clock.

    Returns
    -------
    str

    Raises
    ------
    InputError
        If the day has not come yet.
    """
    with store.read() as conn:
        refuse_day_to_come(moment(conn, farm_id, day, now))
    told = glance.overview(store, farm_id, day=day, now=now)
    ids = [block["id"] for block in told["blocks"]]
    shapes = {block_id: blocks.block_shape(store, block_id) for block_id in ids}
    states = {block_id: blocks.block_state(store, block_id, day=day, now=now) for block_id in ids}
    name = reporting.farm_pack(store, farm_id, now=now)["name"]
    features = farm_features.features_json(store, farm_id)
    return map_file(told, shapes, states, features=features, farm_name=name, day=told["day"])
