"""Brief cards of a farm: what a draft would look like, and the PDF of a draft or a published version, for one block where asked."""

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import TypeVar
from zoneinfo import ZoneInfo

from orchardmap.errors import InputError, UnknownError
from orchardmap.model.brief import Brief, BriefContent, BriefVersion
from orchardmap.model.hazard import Hazard
from orchardmap.model.orchard import Block, Variety
from orchardmap.model.row_code import matching
from orchardmap.paper.brief_card import CardHead, brief_card_document, brief_card_pdf
from orchardmap.paper.brief_card_sheet import CardSize
from orchardmap.store import briefs as brief_store
from orchardmap.store import farm as farm_store
from orchardmap.store import orchard
from orchardmap.store.session import Connection, Store
from orchardmap.store.whose import refuse_block
from orchardmap.usecases.brief_reading import held_briefs
from orchardmap.usecases.hazards import block_hazards, farm_clearance_m
from orchardmap.usecases.moments import moment

__all__ = ["Card", "CardWish", "card_preview", "draft_card", "held_card", "version_card"]

Named = TypeVar("Named", Block, Variety)


@dataclass(frozen=True, slots=True)
class CardWish:
    """How a card is printed, and for which block."""

    language: str = "en"
    size: CardSize = "a4"
    block_id: str | None = None
    """One that the brief is for; None for a card of all of them."""


@dataclass(frozen=True, slots=True)
class Card:
    """A card as PDF, and a name for its file in plain letters."""

    name: str
    pdf: bytes


def card_preview(store: Store, farm_id: str, content: BriefContent, *, title: str, wish: CardWish) -> str:
    """Return the very document that a draft's card is printed from; what is still unknown in it is passed over.

    Raises
    ------
    InputError
        If no card is made in that language.
    UnknownError
        If no farm has that id.
    """
    with store.read() as conn:
        head = CardHead(title, farm_store.farm(conn, farm_id).name, is_draft=True)
        clearance_m = farm_clearance_m(conn, farm_id)
    return brief_card_document(content, head, language=wish.language, size=wish.size, clearance_m=clearance_m)


def version_card(
    store: Store, farm_id: str, brief_id: str, *, number: int, wish: CardWish, now: datetime
) -> Card:
    """Return the card of a published version.

    Raises
    ------
    InputError
        If no card is made in that language, or the brief is not for that block.
    UnknownError
        If the farm has no such brief or block, or the brief no such version.
    PaperError
        If this machine lacks what paper is made with.
    """
    with store.read() as conn:
        brief = brief_store.brief(conn, farm_id, brief_id)
        version = brief_store.version(conn, brief_id, number)
        block = _block(conn, brief, wish)
        head, dangers = _head(conn, brief, version, block=block), _dangers(conn, farm_id, block, now)
    return _card(version.content, head, wish, dangers)


def held_card(
    store: Store, farm_id: str, *, block: str = "", variety: str = "", wish: CardWish, now: datetime
) -> Card:
    """Return the card of the published brief that holds now for a block, or else for a variety.

    Parameters
    ----------
    store : Store
        Open for reading.
    farm_id : str
        The farm.
    block, variety : str
        Code of the block, or name of the variety; the block goes first where both are given.
    wish : CardWish
        Its block is the one that is named here.
    now : datetime with time zone
        The server's clock.

    Raises
    ------
    InputError
        If no card is made in that language.
    UnknownError
        If the farm has no such block or variety, or no published brief holds for it.
    PaperError
        If this machine lacks what paper is made with.
    """
    with store.read() as conn:
        at = moment(conn, farm_id, None, now)
        if block:
            codes = {one.code: one for one in orchard.blocks(conn, farm_id)}
            found = _the_one([codes[code] for code in matching(block, codes)], "block", block)
            version = held_briefs(conn, at, {found.id: found.variety_id}).get(found.id)
            wish = replace(wish, block_id=found.id)
        else:
            named = [one for one in farm_store.varieties(conn, farm_id) if one.name == variety]
            known = _the_one(named, "variety", variety)
            # as of a block of that variety without a brief of its own
            version = held_briefs(conn, at, {known.id: known.id}).get(known.id)
    if version is None:
        raise UnknownError(
            "no published brief holds for it", where=block or variety, todo="Publish one first."
        )
    return version_card(store, farm_id, version.brief_id, number=version.version, wish=wish, now=now)


def _the_one(found: Sequence[Named], kind: str, said: str) -> Named:
    if len(found) != 1:
        what = f"several go by that {kind}'s name" if found else f"no such {kind} on this farm"
        raise UnknownError(what, where=said[:80])
    return found[0]


def draft_card(store: Store, farm_id: str, brief_id: str, *, wish: CardWish, now: datetime) -> Card:
    """Return the card of a draft, which says that it is one; what is still unknown in it is passed over.

    Raises
    ------
    InputError
        If no card is made in that language, or the brief is not for that block.
    UnknownError
        If the farm has no such brief or block.
    PaperError
        If this machine lacks what paper is made with.
    """
    with store.read() as conn:
        brief = brief_store.brief(conn, farm_id, brief_id)
        content = brief_store.draft(conn, brief_id).content
        block = _block(conn, brief, wish)
        head, dangers = _head(conn, brief, None, block=block), _dangers(conn, farm_id, block, now)
    return _card(content, head, wish, dangers)


def _block(conn: Connection, brief: Brief, wish: CardWish) -> Block | None:
    """Return the block that the card is for: the one asked for, or the brief's own."""
    asked = wish.block_id or brief.block_id
    if asked is None:
        return None
    block = orchard.block(conn, asked)
    if block.farm_id != brief.farm_id:
        refuse_block(asked)
    todo = "Take the brief that holds for the block."
    if block.id not in brief_store.subject_blocks(conn, brief):
        raise InputError(f"the brief is not for block {block.code}", where="block_id", todo=todo)
    if brief.block_id is None and _has_own(conn, brief, block):
        raise InputError(f"block {block.code} has a brief of its own", where="block_id", todo=todo)
    return block


def _has_own(conn: Connection, brief: Brief, block: Block) -> bool:
    """Tell whether a brief of the block itself, published in that season, goes before its variety's."""
    of_season = brief_store.briefs(conn, brief.farm_id, brief.season_id)
    own = [one.id for one in of_season if one.block_id == block.id]
    return bool(brief_store.latest_versions(conn, own))


@dataclass(frozen=True, slots=True)
class _Dangers:
    """What a card warns of beside its brief."""

    hazards: tuple[Hazard, ...]
    """Of the block that it is for; none without one."""
    clearance_m: float
    """Least distance from the farm's power lines."""


def _dangers(conn: Connection, farm_id: str, block: Block | None, now: datetime) -> _Dangers:
    hazards: tuple[Hazard, ...] = ()
    if block is not None:
        farm, rows = farm_store.farm(conn, farm_id), {block.id: orchard.rows(conn, block.id)}
        hazards = block_hazards(conn, farm, [block], rows, now=now)[block.id]
    return _Dangers(hazards, farm_clearance_m(conn, farm_id))


def _head(conn: Connection, brief: Brief, version: BriefVersion | None, *, block: Block | None) -> CardHead:
    farm = farm_store.farm(conn, brief.farm_id)
    varieties = {variety.id: variety.name for variety in farm_store.varieties(conn, farm.id)}
    seasons = {season.id: season.name for season in farm_store.seasons(conn, farm.id)}
    variety_id = brief.variety_id or (block.variety_id if block else None)
    published = None if version is None else version.published_at.astimezone(ZoneInfo(farm.time_zone)).date()
    return CardHead(
        title=varieties.get(variety_id or "", ""),
        farm=farm.name,
        season=seasons[brief.season_id],
        version=None if version is None else version.version,
        published_on=published,
        block="" if block is None else _label(block),
        is_draft=version is None,
    )


def _label(block: Block) -> str:
    return block.code if block.name in ("", block.code) else f"{block.code}, {block.name}"


def _card(content: BriefContent, head: CardHead, wish: CardWish, dangers: _Dangers) -> Card:
    made = brief_card_pdf(
        content,
        head,
        language=wish.language,
        size=wish.size,
        hazards=dangers.hazards,
        clearance_m=dangers.clearance_m,
    )
    stage = "draft" if head.version is None else f"v{head.version}"
    parts = ["brief", head.title, head.block, stage, wish.language, wish.size]
    return Card(f"{'-'.join(word for part in parts if (word := _plain(part)))}.pdf", made)


def _plain(text: str) -> str:
    """Return what of a text any file system and header can hold: lower-case letters, digits, hyphens."""
    letters = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "-", letters)[:40].strip("-")
