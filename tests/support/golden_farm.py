"""A farm with ids that never change, for queues that older tablets left behind."""

import json
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

from shapely.geometry import MultiLineString, Polygon

from drawn_lots import add_lot
from orchardmap.model.orchard import Block, Farm, Row
from orchardmap.model.people import Crew, Person, Sender
from orchardmap.model.season import Closure, Season
from orchardmap.model.work import Receipt
from orchardmap.store import closures, log, orchard, states
from orchardmap.store import farm as farm_store
from orchardmap.store.session import Store
from orchardmap.usecases import crew_days, tree_counts
from orchardmap_api.handing_in import BATCHES, hand_in

FOLDER = Path(__file__).resolve().parents[1] / "golden"
START = "019c0000-0000-7000-8000-0000000000"
FARM, SEASON, CLOSED_SEASON = START + "01", START + "02", START + "03"
CREWS = {"A": START + "0a", "B": START + "0b"}
FOREMAN, AUDITOR = START + "11", START + "12"
BLOCK, CLOSED_BLOCK = START + "21", START + "22"
DEVICE = START + "31"
LOT = START + "51"
LOOKED_AT = datetime(2026, 1, 20, 18, tzinfo=UTC)


def golden_farm(store: Store) -> None:
    """Make it: two blocks of three rows with ten positions, a blank, a closure, a season over and one under way."""
    made_at = datetime(2026, 1, 1, tzinfo=UTC)
    outline = Polygon([(11.0, 46.0), (11.001, 46.0), (11.001, 46.001), (11.0, 46.001)])
    with store.write() as conn:
        farm_store.add_farm(conn, Farm(FARM, "Golden", "Europe/Rome"), now=made_at)
        for season in (
            Season(CLOSED_SEASON, FARM, "2024/25", date(2024, 12, 1), date(2025, 3, 1), closed=True),
            Season(SEASON, FARM, "2025/26", date(2025, 12, 1), date(2026, 3, 1)),
        ):
            farm_store.add_named(conn, season)
        for name, crew_id in CREWS.items():
            farm_store.add_named(conn, Crew(crew_id, FARM, name))
        farm_store.add_named(conn, Person(FOREMAN, FARM, "Foreman", "foreman", CREWS["A"]))
        farm_store.add_named(conn, Person(AUDITOR, FARM, "Auditor", "auditor"))
        blocks = [
            Block(BLOCK, FARM, "K1", "", None, outline, None, 0.8, "one"),
            Block(CLOSED_BLOCK, FARM, "K2", "", None, outline, None, 0.8, "one"),
        ]
        line = MultiLineString([[(11.0001, 46.0001), (11.0001, 46.0009)]])
        rows = [
            Row(block.id, number, line, 89.0, 1.0, (10,), blanks=frozenset({4} if number == 2 else ()))
            for block in blocks
            for number in (1, 2, 3)
        ]
        orchard.add_blocks(conn, blocks, rows)
        # 20 January, 08:00 to 18:00 in Rome
        shut = datetime(2026, 1, 20, 7, tzinfo=UTC), datetime(2026, 1, 20, 17, tzinfo=UTC)
        closures.add_closure(conn, Closure(START + "41", CLOSED_BLOCK, *shut, "spray re-entry"))
        add_lot(conn, LOT, (FARM, SEASON, BLOCK), [(1, 2, False), (1, 5, False), (1, 7, True), (3, 9, False)])


def golden(version: str) -> tuple[list[dict[str, Any]], dict[str, Any]]:
    """Return the uploads that tablets of a wire version had queued, and what the server must hold after them."""
    queue, expected = (
        json.loads((FOLDER / version / name).read_text("utf-8")) for name in ("queue.json", "expected.json")
    )
    return queue, expected


def replayed(store: Store, upload: dict[str, Any]) -> list[Receipt]:
    """Hand one upload in, as the service does: brought up to date, checked, recorded."""
    crew = upload.get("sender_crew")
    batch = BATCHES[upload["path"].replace("-", "_")].model_validate(upload["body"])
    sender = Sender(DEVICE, CREWS[crew] if crew else None)
    return hand_in(
        store, batch, farm_id=FARM, now=datetime.fromisoformat(upload["received_at"]), sender=sender
    )


def held(store: Store) -> dict[str, Any]:
    """Return what the server holds: every version of every record, the state of the rows, the crew-days and tree counts that stand."""
    crew_names = {crew_id: name for name, crew_id in CREWS.items()}
    records: dict[str, list[Any]] = {}
    with store.read() as conn:
        for kind, table in log.RECORDS.items():
            found = [one._asdict() for one in conn.execute(table.select())]
            records[kind] = sorted(
                (_plain(one) for one in found), key=lambda one: (one["id"], one["content_hash"])
            )
        runs = {
            f"{'K1' if s.block_id == BLOCK else 'K2'} {s.row}": [
                [a, b, crew_names.get(crew, "held") if crew else "held"] for a, b, crew, *_ in s.runs
            ]
            for s in states.row_states(conn, SEASON)
        }
    days = crew_days.crew_days_of(store, FARM, day=None, crew_id=None)
    return {
        "records": records,
        "runs": runs,
        "crew_days_standing": sorted(one["id"] for one in days if one["standing"]),
        "counts": {
            code: [[line[0][-3:], *line[1:]] for line in lines]
            for code, block_id in (("K1", BLOCK), ("K2", CLOSED_BLOCK))
            if (lines := tree_counts.block_counts(store, block_id, now=LOOKED_AT)["lines"])
        },
    }


def _plain(record: dict[str, Any]) -> dict[str, Any]:
    moments = {"device_at", "corrected_at", "server_at"}
    told = {
        key: value.astimezone(UTC).isoformat()
        if key in moments
        else (value.isoformat() if isinstance(value, date) else value)
        for key, value in record.items()
        if key != "farm_id"
    }
    return {key: value for key, value in told.items() if value is not None}
