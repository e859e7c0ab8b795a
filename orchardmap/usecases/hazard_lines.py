"""Say where power lines hang over and beside a farm: tablets fetch its blocks again, for their dangers hang on it."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from shapely.geometry import MultiLineString

from orchardmap.geodata.write import geojson_geometry
from orchardmap.model.hazard import HazardLine
from orchardmap.pruning.clearance import line_clearance_m
from orchardmap.store import audit, log, orchard
from orchardmap.store import farm as farm_store
from orchardmap.store import farm_settings as setting_store
from orchardmap.store import hazards as hazard_store
from orchardmap.store.session import Connection, Store
from orchardmap.usecases.nearness import refuse_far
from orchardmap.usecases.planting import new_id, tidy_name

__all__ = ["NewLine", "add_line", "lines_json", "remove_line"]

Json = dict[str, Any]


@dataclass(frozen=True, slots=True)
class NewLine:
    """A power line as whoever adds it tells it."""

    name: str
    """As it is spoken of."""
    kv: float
    """Voltage to ground in kilovolts, >= 0."""
    line: MultiLineString
    """lonlat degrees (WGS 84), with a vertex at each pole, as `orchardmap.geodata.lines` reads it."""


def lines_json(store: Store, farm_id: str) -> list[Json]:
    """Return a farm's power lines, each with the distance to keep and its geometry as GeoJSON (RFC 7946).

    Raises
    ------
    UnknownError
        If no farm has that id.
    """
    with store.read() as conn:
        farm_store.farm(conn, farm_id)
        rule = setting_store.farm_settings(conn, farm_id).line_clearance
        found = hazard_store.hazard_lines(conn, farm_id)
    return [
        {
            "id": one.id,
            "name": one.name,
            "kv": one.kv,
            "clearance_m": round(line_clearance_m(one.kv, rule), 2),
            "geometry": geojson_geometry(one.line),
        }
        for one in found
    ]


def add_line(
    store: Store,
    *,
    farm_id: str,
    line: NewLine,
    actor: str = "shell",
    now: datetime,
) -> HazardLine:
    """Add a power line.

    Parameters
    ----------
    store : Store
        Open for writing.
    farm_id : str
        The farm.
    line : NewLine
    actor : str
        As the audit log names who says so.
    now : datetime with time zone
        The server's clock.

    Returns
    -------
    HazardLine

    Raises
    ------
    UnknownError
        If no farm has that id.
    InputError
        If it has no name, the voltage is none, or it hangs far from the farm.
    """
    line_clearance_m(line.kv)  # refuses what is no voltage
    made = HazardLine(new_id(), farm_id, tidy_name(line.name, "power line"), float(line.kv), line.line)
    with store.write() as conn:
        log.lock_farm(conn, farm_id)
        refuse_far(conn, farm_id, made.line, what="line")
        hazard_store.add_line(conn, made)
        _tell(conn, farm_id, made.id)
        audit.note(conn, "hazard_line_added", at=now, actor=actor, subject=made.id, farm_id=farm_id)
    return made


def remove_line(store: Store, *, farm_id: str, line_id: str, actor: str = "shell", now: datetime) -> None:
    """Take a power line away.

    Raises
    ------
    UnknownError
        If the farm has no such line.
    """
    with store.write() as conn:
        log.lock_farm(conn, farm_id)
        hazard_store.remove_line(conn, farm_id, line_id)
        _tell(conn, farm_id, line_id)
        audit.note(conn, "hazard_line_removed", at=now, actor=actor, subject=line_id, farm_id=farm_id)


def _tell(conn: Connection, farm_id: str, line_id: str) -> None:
    blocks = orchard.blocks(conn, farm_id)
    told = [log.Change("hazard_line", line_id, block.id) for block in blocks]
    # a farm without blocks has changed too: maps and services keep what they told of it until it says so
    log.append_changes(conn, farm_id, told or [log.Change("hazard_line", line_id)])
