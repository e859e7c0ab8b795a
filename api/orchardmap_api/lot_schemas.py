"""What may be sent about lots."""

from typing import Annotated, Literal

from pydantic import Field, StrictInt, StringConstraints

from orchardmap.model.lot import Severity, TwoPoints
from orchardmap.usecases.lot_planning import AskedTable, LotWish
from orchardmap_api.schemas import Body, Day, Id, Name

__all__ = ["CancelBody", "LotBody", "LotWishBody"]

Share = Annotated[float, Field(ge=0, le=1, allow_inf_nan=False)]


class TablePlanBody(Body):
    """A plan of the tables; the library knows its levels and limits."""

    kind: Literal["attributes"]
    level: Annotated[str, StringConstraints(max_length=10)]
    aql: Annotated[float, Field(ge=0, le=100, allow_inf_nan=False)]
    severity: Severity | None = None

    def asked(self) -> AskedTable:
        """Return it as use cases take it."""
        return AskedTable(self.level, self.aql, self.severity)


class TwoPointsBody(Body):
    """A plan of two promises, in shares and chances."""

    kind: Literal["two_points"]
    p1: Share
    pa1: Share
    p2: Share
    pa2: Share

    def asked(self) -> TwoPoints:
        """Return it as use cases take it."""
        return TwoPoints(self.p1, self.pa1, self.p2, self.pa2)


class LotWishBody(Body):
    """Which trees are to be judged together, and how; what is left out is the farm's own choice."""

    block_id: Id
    crew_id: Id | None = None
    until_day: Day | None = None
    plan: Annotated[TablePlanBody | TwoPointsBody, Field(discriminator="kind")] | None = None
    extra: Annotated[StrictInt, Field(ge=0, le=100)] | None = None
    return_id: Id | None = None

    def wish(self) -> LotWish:
        """Return it as use cases take it."""
        crew_id = str(self.crew_id) if self.crew_id else None
        return_id = str(self.return_id) if self.return_id else None
        plan = self.plan.asked() if self.plan else None
        return LotWish(str(self.block_id), crew_id, self.until_day, plan, self.extra, return_id)


class LotBody(LotWishBody):
    """A lot to draw, under an id made by the page."""

    id: Id


class CancelBody(Body):
    """Why a lot is taken back."""

    reason: Name
