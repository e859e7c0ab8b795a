"""What may be sent to give blocks out."""

from typing import Annotated

from pydantic import Field, StrictBool, StrictInt

from orchardmap.model.queue import BlockTerms, Queues
from orchardmap_api.schemas import Body, Day, Id

__all__ = ["QueuesBody", "TermsBody"]

Blocks = Annotated[list[Id], Field(max_length=10_000)]


class QueueBody(Body):
    """What one crew is given, in order."""

    crew_id: Id
    blocks: Blocks


class QueuesBody(Body):
    """All queues of the season, with the revision that they were made from."""

    queues: Annotated[list[QueueBody], Field(max_length=1_000)]
    open: Blocks = Field(default_factory=list)
    own_first: StrictBool = True
    revision: Annotated[StrictInt, Field(ge=0, le=2**31 - 1)]

    def wanted(self) -> Queues:
        """Return them as the library knows them; two queues of one crew are one."""
        by_crew: dict[str, tuple[str, ...]] = {}
        for one in self.queues:
            by_crew[str(one.crew_id)] = by_crew.get(str(one.crew_id), ()) + tuple(map(str, one.blocks))
        return Queues(self.revision, by_crew, tuple(map(str, self.open)), self.own_first)


class TermsBody(Body):
    """What is said of a block for this season's plan, whole: null takes it back."""

    must_finish_on: Day | None
    platform_fits: StrictBool | None

    def terms(self) -> BlockTerms:
        """Return it as the library knows it."""
        return BlockTerms(self.must_finish_on, self.platform_fits)
