"""What the points say that checks speak of, in one language."""

from collections.abc import Iterable

from orchardmap.pruning.sentences import point_text
from orchardmap.store import briefs
from orchardmap.store.session import Connection
from orchardmap.usecases.checked_trees import ReadCheck
from orchardmap.usecases.moments import Moment

__all__ = ["point_sentences"]


def point_sentences(
    conn: Connection, at: Moment, checks: Iterable[ReadCheck], language: str
) -> dict[str, str]:
    """Return the sentence of each point that was judged, by its key; where versions differ, the one published last speaks."""
    named = {
        (check.brief_id, check.brief_version)
        for check in checks
        if check.judged and check.brief_id is not None and check.brief_version is not None
    }
    versions = briefs.named_versions(conn, at.farm.id, named).values()
    return {
        point.key: point_text(point, language)
        for version in sorted(versions, key=lambda one: (one.published_at, one.brief_id))
        for point in version.content.points
    }
