"""Brief cards: a draft as it would be printed, and PDFs to hang up or carry."""

from typing import Annotated

from fastapi import APIRouter, Depends, Query, Response
from fastapi.responses import HTMLResponse

from orchardmap.paper.brief_card_sheet import CARD_POLICY, CardSize
from orchardmap.pruning.brief_json import content_from_json
from orchardmap.usecases import brief_cards
from orchardmap.usecases.brief_cards import Card, CardWish
from orchardmap.usecases.briefing import WRITERS
from orchardmap_api.access import READERS, needs
from orchardmap_api.brief_schemas import CardBody
from orchardmap_api.dependencies import FarmId, Now, PathId, ServiceStore, VersionNumber

router = APIRouter(prefix="/api/farms/{farm_id}", tags=["briefs"])
BRIEF = "/briefs/{brief_id}"


def _wish(
    language: Annotated[str, Query(max_length=3, description="Of the crew.")] = "en",
    size: Annotated[CardSize, Query(description="a4 to hang up, a5 to carry.")] = "a4",
    block_id: Annotated[PathId | None, Query(description="A block that the brief is for.")] = None,
) -> CardWish:
    return CardWish(language, size, None if block_id is None else str(block_id))


AskedCard = Annotated[CardWish, Depends(_wish)]


def _pdf(card: Card) -> Response:
    named = {"Content-Disposition": f'inline; filename="{card.name}"'}
    return Response(card.pdf, media_type="application/pdf", headers=named)


@router.post("/card-preview", response_class=HTMLResponse, dependencies=[needs(*WRITERS)])
def preview_card(farm_id: FarmId, body: CardBody, store: ServiceStore) -> HTMLResponse:
    """Return the document that the card of a draft is printed from, for a frame without scripts."""
    content, wish = content_from_json(body.content), CardWish(body.language, body.size)
    shown = brief_cards.card_preview(store, str(farm_id), content, title=body.title, wish=wish)
    return HTMLResponse(shown, headers={"Content-Security-Policy": CARD_POLICY})


@router.get(BRIEF + "/versions/{version}/card", response_class=Response, dependencies=[needs(*READERS)])
def read_card(
    farm_id: FarmId,
    brief_id: PathId,
    version: VersionNumber,
    wish: AskedCard,
    store: ServiceStore,
    now: Now,
) -> Response:
    """Return the card of a published version as PDF."""
    return _pdf(
        brief_cards.version_card(store, str(farm_id), str(brief_id), number=version, wish=wish, now=now)
    )


@router.get(BRIEF + "/draft/card", response_class=Response, dependencies=[needs(*WRITERS)])
def read_draft_card(
    farm_id: FarmId, brief_id: PathId, wish: AskedCard, store: ServiceStore, now: Now
) -> Response:
    """Return the card of a draft as PDF; it says that it is a draft."""
    return _pdf(brief_cards.draft_card(store, str(farm_id), str(brief_id), wish=wish, now=now))
