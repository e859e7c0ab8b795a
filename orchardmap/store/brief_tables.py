"""The tables of briefs: each with its one draft, and the versions that were published, appended and never edited."""

from sqlalchemy import CheckConstraint, Column, ForeignKey, Integer, Table, Text, UniqueConstraint

from orchardmap.store.tables import metadata
from orchardmap.store.types import Moment, StoredId

__all__ = ["brief_versions", "briefs"]

Id = StoredId()

briefs = Table(
    "briefs",
    metadata,
    Column("id", Id, primary_key=True),
    Column("farm_id", Id, ForeignKey("farms.id"), nullable=False),
    Column("season_id", Id, ForeignKey("seasons.id"), nullable=False),
    Column("variety_id", Id, ForeignKey("varieties.id")),
    Column("block_id", Id, ForeignKey("blocks.id")),
    # text, which both engines give back to the letter: the order of languages says which one was written in
    Column("draft", Text, nullable=False, comment="content as JSON, by pruning.brief_json"),
    Column("revision", Integer, nullable=False, comment="of the draft: raised whenever it is saved"),
    Column("saved_at", Moment, nullable=False),
    Column("saved_by", Id, comment="account; null for the shell"),
    UniqueConstraint("season_id", "variety_id"),
    UniqueConstraint("season_id", "block_id"),
    CheckConstraint("(variety_id IS NULL) <> (block_id IS NULL)", name="ck_briefs_subject"),
)

brief_versions = Table(
    "brief_versions",
    metadata,
    Column("brief_id", Id, ForeignKey("briefs.id"), primary_key=True),
    Column("version", Integer, primary_key=True, comment="1, 2, 3 ... within its brief"),
    Column("content", Text, nullable=False, comment="as JSON, by pruning.brief_json"),
    Column("published_at", Moment, nullable=False),
    Column("published_by", Id, comment="account; null for the shell"),
)
