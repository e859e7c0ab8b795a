"""What was found on the trees of a lot: tree by tree, point by point, and what it says of the whole lot."""

from collections import Counter
from collections.abc import Iterable, Mapping
from typing import Any

from orchardmap.model.brief import BriefVersion, PointClass
from orchardmap.model.lot import Lot, Tree
from orchardmap.pruning.sentences import point_text
from orchardmap.quality.intervals import CONFIDENCE
from orchardmap.quality.lot_findings import Findings, estimate
from orchardmap.quality.stand_in_words import left_out_counts, left_out_word
from orchardmap.quality.walk import walking_order
from orchardmap.store import briefs as brief_store
from orchardmap.store import check_photos, row_tables
from orchardmap.store.not_judged import Unjudged, unjudged_of
from orchardmap.store.session import Connection
from orchardmap.usecases.auditor_agreement import agreement_json, agreement_of_looks, read_two_looks
from orchardmap.usecases.brief_reading import version_json
from orchardmap.usecases.checked_trees import ReadCheck
from orchardmap.usecases.hazards import farm_clearance_m
from orchardmap.usecases.lot_verdicts import JudgedLot
from orchardmap.usecases.moments import Moment
from orchardmap.usecases.weak_telling import standing_areas

__all__ = ["findings_json", "lot_walk", "not_judged_json", "row_lengths"]

Json = dict[str, Any]
_WORST_FIRST: tuple[PointClass, ...] = ("critical", "major", "minor")


def findings_json(conn: Connection, at: Moment, one: JudgedLot, language: str) -> Json:
    """Return what a lot's page tells beyond the list."""
    lot, found = one.lot, one.found
    brief = _brief(conn, lot)
    photos = check_photos.photo_ids(conn, [c.id for c in (*found.first.values(), *found.second.values())])
    agreed = agreement_of_looks(read_two_looks(conn, at, [lot.block_id], lot_id=lot.id).pairs)
    words = {
        (one.row, one.position): one
        for one in unjudged_of(conn, lot.season_id, [lot.block_id])
        if one.lot_id == lot.id
    }
    areas = standing_areas(conn, at, [lot.block_id], language=language)
    return {
        "runs": [list(run) for run in lot.eligible],
        "holes": [list(hole) for hole in lot.holes],
        "trees": [
            {"number": number, "row": tree[0], "position": tree[1]}
            | {"is_extra": is_extra, "stands_in": number > len(lot.trees)}
            | {"check": _check_json(found.first.get(tree), photos)}
            | {"second": _check_json(found.second.get(tree), photos)}
            | {"not_judged": _left_out_json(tree, found, words, language)}
            for number, tree, is_extra in _told_trees(lot, found)
        ],
        # as far as nothing stood in for any tree: further trees of the draw, in order
        "reserve": [list(tree) for tree in lot.reserve],
        "walk": _told_walk(lot, found, row_lengths(conn, lot.block_id)),
        **_estimate_json(lot, found),
        "points": _points(brief, found, language) if brief else [],
        "brief": version_json(brief, clearance_m=farm_clearance_m(conn, lot.farm_id)) if brief else None,
        "agreement": agreement_json(agreed) if agreed else None,
        "weak_areas": areas.get(lot.block_id, []),
    }


def _heard_reserve(lot: Lot, found: Findings[ReadCheck]) -> list[Tree]:
    """Return the further trees that the draw came to: those that stand in, and those that could not be judged either."""
    return [tree for tree in lot.reserve if tree in found.asked.called or tree in found.asked.left_out]


def _told_walk(lot: Lot, found: Findings[ReadCheck], positions: dict[int, int]) -> list[Tree]:
    """Return the trees that are told of in the order in which the tablet walks to them."""
    told = {tree for _, tree, _ in _told_trees(lot, found)}
    return [tree for tree in lot_walk(lot, positions, lot.reserve) if tree in told]


def _told_trees(lot: Lot, found: Findings[ReadCheck]) -> list[tuple[int, Tree, bool]]:
    """Return number in the draw, row and position, and whether it is an extra one, of each tree that is told of."""
    drawn = [(number, (tree.row, tree.position), tree.is_extra) for number, tree in enumerate(lot.trees, 1)]
    heard = _heard_reserve(lot, found)
    further = enumerate(lot.reserve, len(lot.trees) + 1)
    return drawn + [(number, tree, False) for number, tree in further if tree in heard]


def _left_out_json(
    tree: Tree, found: Findings[ReadCheck], words: Mapping[Tree, Unjudged], language: str
) -> Json | None:
    reason = found.asked.left_out.get(tree)
    if reason is None:
        return None
    said = words.get(tree)
    return {
        "reason": reason,
        "words": left_out_word(reason, language),
        "day": said.day.isoformat() if said else None,
        "auditor_id": said.auditor_id if said else None,
        "note": said.note if said else "",
    }


def not_judged_json(found: Findings[ReadCheck], language: str) -> list[Json]:
    """Return how many trees of a lot could not be judged, by reason and most first."""
    return [
        {"reason": reason, "words": left_out_word(reason, language), "trees": trees}
        for reason, trees in left_out_counts(found)
    ]


def _brief(conn: Connection, lot: Lot) -> BriefVersion | None:
    if lot.brief_id is None or lot.brief_version is None:
        return None
    return brief_store.version(conn, lot.brief_id, lot.brief_version)


def _check_json(check: ReadCheck | None, photos: Mapping[str, list[str]]) -> Json | None:
    if check is None:
        return None
    return {
        "id": check.id,
        "verdict": check.verdict,
        "failed": list(check.failed),
        "day": check.day.isoformat(),
        "auditor_id": check.auditor_id,
        "note": check.note,
        "photos": photos.get(check.id, []),
    }


def row_lengths(conn: Connection, block_id: str) -> dict[int, int]:
    """Return how many positions each row of a block has."""
    table = row_tables.row_table(conn, [block_id])
    return dict(zip(table.number.tolist(), table.positions.tolist(), strict=True))


def lot_walk(lot: Lot, positions: dict[int, int], further: Iterable[Tree] = ()) -> list[Tree]:
    """Return the drawn trees of a lot, extra and some further ones too, in the order to walk to them; rows have so many positions."""
    trees = [*((tree.row, tree.position) for tree in lot.trees), *further]
    # a row that was counted anew since may end before a tree that was drawn
    ends = {row: max([positions.get(row, 0), *(at for r, at in trees if r == row)]) for row, _ in trees}
    return walking_order(trees, ends)


def _estimate_json(lot: Lot, found: Findings[ReadCheck]) -> Json:
    told = estimate(lot, found)
    if told is None:
        return {"interval": None, "two_stage": None}
    rows = told.by_rows
    return {
        "interval": {
            "wilson": list(told.wilson),
            "lot_faulty": list(told.lot_faulty),
            "confidence": CONFIDENCE,
        },
        "two_stage": {
            "share": rows.share,
            "low": rows.low,
            "high": rows.high,
            "design_effect": rows.design_effect,
            "effective_checks": told.effective_checks,
        },
    }


def _points(brief: BriefVersion, found: Findings[ReadCheck], language: str) -> list[Json]:
    """Return the points that are checked, the one that most trees missed first."""
    judged = Counter(key for check in found.judged for key in check.judged)
    failed = Counter(key for check in found.judged for key in check.failed)
    points = [point for point in brief.content.points if point.is_checked]
    points.sort(key=lambda point: (-failed[point.key], _WORST_FIRST.index(point.point_class)))
    return [
        {
            "key": point.key,
            "sentence": point_text(point, language),
            "class": point.point_class,
            "checked": judged[point.key],
            "failed": failed[point.key],
        }
        for point in points
    ]
