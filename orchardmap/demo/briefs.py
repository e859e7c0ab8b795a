"""The briefs of the invented farm: one per variety, started from a habit and published by its adviser."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date, timedelta

from orchardmap.demo.season import moment
from orchardmap.model.brief import BearingHabit, BriefContent, BudTarget, Draft
from orchardmap.pruning.calc import calculated_crop_load
from orchardmap.store import briefs as brief_store
from orchardmap.store.session import Store
from orchardmap.usecases import brief_publishing, briefing
from orchardmap.usecases.briefing import BriefSubject, ReadyMade

_PICKS: tuple[tuple[BearingHabit, bool, tuple[str, ...]], ...] = (
    ("tip_renewed", False, ("Cornish Gilliflower", "Genet Moyle", "Irish Peach")),
    ("tip_alternating", False, ("Adams's Pearmain", "Blenheim Orange", "Bramley's Seedling")),
    ("tip_renewed", True, ("Lord Lambourne", "Worcester Pearmain")),
    ("spur_renewed", False, ("Ashmead's Kernel", "Cox's Orange Pippin")),
    ("spur_renewed", True, ("James Grieve",)),
    ("spur_long_lived", False, ("Howgate Wonder", "Lord Derby")),
    ("spur_uncut", False, ("Egremont Russet",)),
)
PICKED: Mapping[str, ReadyMade] = {
    name: ReadyMade(habit, is_heavy_setter=heavy) for habit, heavy, names in _PICKS for name in names
}
"""Among those that suit where each fruits. Which one is no fact of the trade: the invented adviser chose so."""
REVISED = "Cox's Orange Pippin"
_REVISED_AFTER = timedelta(days=21)
_FEWER_LIMBS = (16, 20)
_LOAD = {
    "yield_t_per_ha": 40,
    "fruit_mass_g": 130,
    "trees_per_ha": 1800,
    "limbs_per_tree": sum(_FEWER_LIMBS) / 2,
    "floral_share": 0.8,
}
"""What the invented adviser wants of these trees."""


def publish_briefs(
    store: Store, farm_id: str, *, season_id: str, variety_ids: Mapping[str, str], opening: date
) -> None:
    """Publish a brief for every variety a week before the season opens, and one of them anew three weeks into it.

    Parameters
    ----------
    store : Store
        Open for writing.
    farm_id, season_id : str
        The invented farm and its season.
    variety_ids : mapping of str to str
        Name -> id.
    opening : date
        First day of the season.
    """
    taught_at = moment(opening - timedelta(days=7), 2.0)
    for name, variety_id in variety_ids.items():
        made = briefing.make_brief(
            store,
            farm_id=farm_id,
            subject=BriefSubject(season_id, variety_id),
            start=PICKED[name],
            by=None,
            now=taught_at,
        )
        brief_publishing.publish(store, farm_id=farm_id, brief_id=made.id, revision=1, by=None, now=taught_at)
        if name == REVISED:
            _revise(store, farm_id, made.id, opening)


def _revise(store: Store, farm_id: str, brief_id: str, opening: date) -> None:
    at = moment(opening + _REVISED_AFTER, 1.0)
    with store.read() as conn:
        content = brief_store.draft(conn, brief_id).content
    draft = Draft(_revised(content), 2, at, None)
    brief_publishing.save_draft(store, farm_id=farm_id, brief_id=brief_id, draft=draft)
    brief_publishing.publish(store, farm_id=farm_id, brief_id=brief_id, revision=2, by=None, now=at)


def _revised(content: BriefContent) -> BriefContent:
    """Return what the adviser wrote after three weeks of looking at the trees: fewer limbs, and what to leave on them."""
    low, high = _FEWER_LIMBS
    points = tuple(
        replace(point, low=low, high=high) if point.key == "limb-count" else point for point in content.points
    )
    load = calculated_crop_load(_LOAD)
    fruit, buds, on_limb = (round(load[key]) for key in ("fruit_per_tree", "buds_per_tree", "buds_per_limb"))
    return replace(
        content, points=points, bud_target=BudTarget(fruit, buds, on_limb, _LOAD["limbs_per_tree"])
    )
