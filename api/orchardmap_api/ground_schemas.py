"""What may be sent to edit the ground: a list of edits, each of one kind."""

from typing import Annotated, Any, Literal

from pydantic import Field, StrictBool, StrictInt, StringConstraints
from shapely.geometry import MultiLineString, MultiPolygon, Polygon

from orchardmap.geometry import block_edits as on_blocks
from orchardmap.geometry.ground_changes import Edit
from orchardmap.geometry.outline import outline_from_geojson
from orchardmap.model.orchard import Block, Planting
from orchardmap_api.ground_row_schemas import (
    AddRowBody,
    CountRowBody,
    DropRowsBody,
    JoinRowsBody,
    MoveRowBody,
    NumberRowsBody,
    SplitRowBody,
    SurveyReader,
    TurnRowsBody,
)
from orchardmap_api.schemas import Body, Id, LonLat, Name, PlantingBody

__all__ = ["GroundBody"]

Shift = Annotated[float, Field(ge=-1_000, le=1_000, allow_inf_nan=False)]


class Outline(Body):
    """An outline as GeoJSON (RFC 7946)."""

    type: Literal["Polygon", "MultiPolygon"]
    coordinates: Annotated[list[Any], Field(min_length=1, max_length=1_000)]

    def outline(self) -> Polygon | MultiPolygon:
        """Return it, when nothing is wrong with it."""
        return outline_from_geojson(self.model_dump())


class ShiftBlockBody(Body):
    """A block that was drawn beside its place; metres."""

    kind: Literal["shift-block"]
    block: Id
    east_m: Shift
    north_m: Shift

    def edit(self, _: SurveyReader) -> Edit:
        """Return it as the library knows it."""
        return on_blocks.ShiftBlock(str(self.block), self.east_m, self.north_m)


class NameBlockBody(Body):
    """Another code, name or variety of a block."""

    kind: Literal["name-block"]
    block: Id
    code: Name
    name: Name
    variety_id: Id | None

    def edit(self, _: SurveyReader) -> Edit:
        """Return it as the library knows it."""
        variety = None if self.variety_id is None else str(self.variety_id)
        return on_blocks.NameBlock(str(self.block), self.code, self.name, variety)


class DrawOutlineBody(Body):
    """Another outline around the rows that are there."""

    kind: Literal["draw-outline"]
    block: Id
    outline: Outline

    def edit(self, _: SurveyReader) -> Edit:
        """Return it as the library knows it."""
        return on_blocks.DrawOutline(str(self.block), self.outline.outline())


class SurveyBody(Body):
    """Features of a previewed file."""

    token: Annotated[str, StringConstraints(max_length=64, pattern=r"^[A-Za-z0-9_-]+$")]
    index: Annotated[StrictInt, Field(ge=0)] | None = None
    rows: Annotated[list[StrictInt], Field(max_length=5_000)] = Field(default_factory=list)


class LayBlockBody(Body):
    """A block surveyed again: rows that stand where one stood keep its number."""

    kind: Literal["lay-block"]
    block: Id
    planting: PlantingBody
    outline: Outline | None = None
    survey: SurveyBody | None = None
    """Of a file, instead of an outline."""

    def edit(self, read: SurveyReader) -> Edit:
        """Return it as the library knows it."""
        planting = Planting(**self.planting.model_dump())
        outline = None if self.outline is None else self.outline.outline()
        surveyed: tuple[MultiLineString, ...] = ()
        numbers = None
        if self.survey is not None:
            outline, surveyed, numbers = read(
                self.survey.token, self.survey.index, self.survey.rows, planting
            )
        return on_blocks.LayBlock(str(self.block), outline, planting, surveyed, numbers)


class NewBlockBody(Body):
    """A block drawn by hand; its id is made where it is drawn."""

    kind: Literal["new-block"]
    block: Id
    code: Name
    name: Name
    variety_id: Id | None = None
    outline: Outline
    planting: PlantingBody

    def edit(self, _: SurveyReader) -> Edit:
        """Return it as the library knows it."""
        variety = None if self.variety_id is None else str(self.variety_id)
        planting = Planting(**self.planting.model_dump())
        outline = self.outline.outline()
        return on_blocks.NewBlock(
            Block(str(self.block), "", self.code, self.name, variety, outline, planting, 0.0)
        )


class SplitBlockBody(Body):
    """A block cut in two by a straight line."""

    kind: Literal["split-block"]
    block: Id
    cut: tuple[LonLat, LonLat]
    made: Id
    code: Name
    name: Name
    other_side: StrictBool = False

    def edit(self, _: SurveyReader) -> Edit:
        """Return it as the library knows it."""
        made = Block(str(self.made), "", self.code, self.name, None, None, None, 0.0)
        return on_blocks.SplitBlock(str(self.block), self.cut, made, self.other_side)


class JoinBlocksBody(Body):
    """Two blocks that are one: the other's rows go behind."""

    kind: Literal["join-blocks"]
    block: Id
    other: Id

    def edit(self, _: SurveyReader) -> Edit:
        """Return it as the library knows it."""
        return on_blocks.JoinBlocks(str(self.block), str(self.other))


class DropBlockBody(Body):
    """A block that is not there."""

    kind: Literal["drop-block"]
    block: Id

    def edit(self, _: SurveyReader) -> Edit:
        """Return it as the library knows it."""
        return on_blocks.DropBlock(str(self.block))


EditBody = Annotated[
    DropRowsBody
    | TurnRowsBody
    | NumberRowsBody
    | MoveRowBody
    | AddRowBody
    | SplitRowBody
    | JoinRowsBody
    | CountRowBody
    | ShiftBlockBody
    | NameBlockBody
    | DrawOutlineBody
    | LayBlockBody
    | NewBlockBody
    | SplitBlockBody
    | JoinBlocksBody
    | DropBlockBody,
    Field(discriminator="kind"),
]


class GroundBody(Body):
    """Edits of the ground in order, or the change that is to be taken back."""

    id: Id
    """Of the change, made where it is made: a repeat is answered as the first."""
    edits: Annotated[list[EditBody], Field(max_length=500)] = Field(default_factory=list)
    seen: Annotated[dict[Id, Annotated[str, StringConstraints(max_length=64)]], Field(max_length=500)] = (
        Field(default_factory=dict)
    )
    """Block -> version that was looked at."""
    undoes: Id | None = None
