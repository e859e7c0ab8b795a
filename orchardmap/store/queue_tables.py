"""The tables of queues: who prunes what next, and what is said of blocks for that."""

from sqlalchemy import Boolean, Column, Date, ForeignKey, Integer, Table

from orchardmap.store.tables import metadata
from orchardmap.store.types import StoredId

__all__ = ["block_terms", "queue_blocks", "queue_plans"]

_Id = StoredId()

queue_plans = Table(
    "queue_plans",
    metadata,
    Column("season_id", _Id, ForeignKey("seasons.id"), primary_key=True),
    Column("revision", Integer, nullable=False, comment="raised by every saving"),
    Column(
        "own_first", Boolean, nullable=False, comment="tablets show their crew's blocks before all others"
    ),
)

queue_blocks = Table(
    "queue_blocks",
    metadata,
    Column("season_id", _Id, ForeignKey("seasons.id"), primary_key=True),
    Column("block_id", _Id, ForeignKey("blocks.id"), primary_key=True),
    Column("crew_id", _Id, ForeignKey("crews.id"), comment="null where it is given to nobody"),
    Column("place", Integer, nullable=False, comment="0, 1, 2 ... in its queue"),
)

block_terms = Table(
    "block_terms",
    metadata,
    Column("season_id", _Id, ForeignKey("seasons.id"), primary_key=True),
    Column("block_id", _Id, ForeignKey("blocks.id"), primary_key=True),
    Column("must_finish_on", Date, comment="null where the season's day holds"),
    Column("platform_fits", Boolean, comment="null where nobody said"),
)
