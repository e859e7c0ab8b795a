"""Alembic's entry. It always runs on a connection that the store hands over, inside the store's own transaction."""

from typing import Any, Literal

from alembic import context
from alembic.autogenerate.api import AutogenContext

from orchardmap.store.tables import metadata
from orchardmap.store.types import Geom, Moment

connection = context.config.attributes["connection"]


def render_item(kind: str, item: Any, autogen: AutogenContext) -> str | Literal[False]:
    if kind == "type" and isinstance(item, Geom):
        autogen.imports.add("from orchardmap.store.types import Geom")
        return f"Geom({item.kind!r})"
    if kind == "type" and isinstance(item, Moment):
        autogen.imports.add("from orchardmap.store.types import Moment")
        return "Moment()"
    return False


def include_name(name: str | None, kind: str, parents: Any) -> bool:
    # PostGIS keeps its own table; SQLite's R*Trees are made by hand in the migrations
    return not (kind == "table" and name and (name == "spatial_ref_sys" or "_boxes" in name))


def include_object(item: Any, name: str | None, kind: str, reflected: bool, compare_to: Any) -> bool:
    # the GiST indexes belong to PostgreSQL alone
    return not (
        kind == "index"
        and connection.dialect.name != "postgresql"
        and name in {"ix_blocks_outline", "ix_rows_line"}
    )


context.configure(
    connection=connection,
    target_metadata=metadata,
    render_as_batch=connection.dialect.name == "sqlite",
    render_item=render_item,
    include_name=include_name,
    include_object=include_object,
    compare_type=False,  # a decorated type never compares equal to the engine's own
    transactional_ddl=True,  # SQLite's tables are transactional too, once BEGIN is ours (see session)
)
with context.begin_transaction():
    context.run_migrations()
