"""The table of lots: trees judged together by a draw of some of them."""

from sqlalchemy import JSON, Column, Date, ForeignKey, Index, Integer, Table, Text, UniqueConstraint

from orchardmap.store.tables import metadata
from orchardmap.store.types import Moment, StoredId

__all__ = ["lots"]

Id = StoredId()

lots = Table(
    "lots",
    metadata,
    Column("id", Id, primary_key=True),
    Column("farm_id", Id, ForeignKey("farms.id"), nullable=False),
    Column("season_id", Id, ForeignKey("seasons.id"), nullable=False),
    Column("number", Integer, nullable=False, comment="1, 2, 3 ... within its farm and season"),
    Column("block_id", Id, ForeignKey("blocks.id"), nullable=False),
    Column("crew_id", Id, ForeignKey("crews.id"), comment="null for the trees of the whole block"),
    Column("opened_on", Date, nullable=False, comment="in the farm's zone"),
    Column("opened_at", Moment, nullable=False),
    Column("opened_by", Id, comment="account; null for the shell"),
    Column("from_day", Date, comment="first day of the work that it holds"),
    Column("until_day", Date, comment="last day of it"),
    Column("brief_id", Id, comment="of the version in force at the draw; null where there was none"),
    Column("brief_version", Integer),
    Column("plan", JSON, nullable=False, comment="what the sizes were worked out from"),
    Column("n", Integer, nullable=False, comment="trees to check, without the extra ones"),
    Column("accept", Integer, nullable=False, comment="most faulty trees of an accepted lot"),
    Column("reject", Integer, nullable=False, comment="fewest faulty trees of one sent back"),
    Column("seed", Integer, nullable=False, comment="of the draw"),
    Column("eligible", JSON, nullable=False, comment="[[row, first, last], ...]: runs of its trees"),
    Column("holes", JSON, nullable=False, comment="[[row, position], ...]: in those runs, no trees of it"),
    Column("lot_trees", Integer, nullable=False),
    Column("trees", JSON, nullable=False, comment="[[row, position, is extra], ...] as drawn"),
    Column(
        "reserve",
        JSON(none_as_null=True),
        comment="[[row, position], ...] as drawn on; null before there were such",
    ),
    Column("return_id", Id, comment="whose trees it judges anew; null for a first lot"),
    Column("cancelled_at", Moment),
    Column("cancelled_by", Id, comment="account; null for the shell"),
    Column("cancel_reason", Text),
    UniqueConstraint("farm_id", "season_id", "number"),
    Index("ix_lots_season_id_block_id", "season_id", "block_id"),
)
