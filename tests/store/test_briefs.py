"""Briefs on both engines: drafts are read back to the letter, nobody's words are lost, what was published stays as it was."""

from dataclasses import replace
from datetime import timedelta
from itertools import count

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy.exc import IntegrityError

from brief_samples import contents
from orchardmap.errors import ConflictError, InputError, UnfitBriefError, UnknownError
from orchardmap.model.access import Grant
from orchardmap.model.brief import Brief, Draft, Point
from orchardmap.pruning.brief_json import content_to_text
from orchardmap.pruning.cautions import CAUTIONS
from orchardmap.pruning.habits import HABITS, ready_made
from orchardmap.store import audit, brief_tables, briefs, log, orchard
from orchardmap.usecases import account_keeping, brief_publishing, brief_reading, briefing, planting
from orchardmap.usecases.briefing import BriefSubject, CopyOf, ReadyMade
from orchardmap.usecases.moments import moment
from orchardmap.usecases.planting import new_id
from small_farm import NOW, TODAY, small_farm
from thorough import tries

NOBODY = "00000000-0000-7000-8000-000000000000"
ON_A_STORE = settings(
    max_examples=tries(8), deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)


@pytest.fixture(scope="module")
def store(shared_store):
    """One store of each engine for all tests here; each has a farm of its own in it."""
    return shared_store


@pytest.fixture
def farm(store):
    return small_farm(store, new_id())


def variety_of(farm):
    return farm.blocks[0].variety_id


def make(store, farm, *, start=None, now=NOW, **subject):
    subject = subject or {"variety_id": variety_of(farm)}
    return briefing.make_brief(
        store, farm_id=farm.farm.id, subject=BriefSubject(farm.season.id, **subject),
        start=start or ReadyMade("tip_renewed"), by=None, now=now,
    )  # fmt: skip


def draft_of(store, brief):
    with store.read() as conn:
        return briefs.draft(conn, brief.id)


def save(store, brief, content, *, revision, by=None, now=NOW):
    draft = Draft(content, revision + 1, now, by)
    return brief_publishing.save_draft(store, farm_id=brief.farm_id, brief_id=brief.id, draft=draft)


def publish(store, brief, *, revision=None, now=NOW, by=None):
    at = draft_of(store, brief).revision if revision is None else revision
    return brief_publishing.publish(
        store, farm_id=brief.farm_id, brief_id=brief.id, revision=at, by=by, now=now
    )


def republish(store, brief, *, low, now=NOW):
    """Publish the brief with another lower limit of limbs."""
    kept = draft_of(store, brief)
    save(store, brief, with_limbs(kept.content, low), revision=kept.revision)
    return publish(store, brief, now=now)


def with_limbs(content, low):
    return replace(
        content, points=tuple(replace(p, low=low) if p.key == "limb-count" else p for p in content.points)
    )


def held(store, farm, *, day=None, now=NOW):
    """Which version holds for each of the two blocks: (brief id, number), or None."""
    with store.read() as conn:
        blocks = {block.id: block.variety_id for block in orchard.blocks(conn, farm.farm.id)}
        found = brief_reading.held_briefs(conn, moment(conn, farm.farm.id, day, now), blocks)
    told = [found.get(block.id) for block in farm.blocks]
    return [one and (one.brief_id, one.version) for one in told]


def test_brief_starts_as_the_ready_made_one_and_is_in_the_audit_log(store, farm):
    start = ReadyMade("spur_renewed", is_heavy_setter=True, system="v_trellis")
    made = make(store, farm, start=start)
    assert made == Brief(made.id, farm.farm.id, farm.season.id, variety_of(farm), None)
    kept = draft_of(store, made)
    assert kept == Draft(ready_made("spur_renewed", is_heavy_setter=True, system="v_trellis"), 1, NOW, None)
    with store.read() as conn:
        assert briefs.briefs(conn, farm.farm.id, farm.season.id) == [made]
        assert briefs.versions(conn, made.id) == []
        last = list(audit.entries(conn))[-1]
    assert (last.what, last.subject, last.actor) == ("brief_made", made.id, "shell")


def test_one_brief_a_season_for_a_variety_and_one_for_a_block(store, farm):
    make(store, farm)
    own = farm.blocks[0].id
    make(store, farm, block_id=own)
    make(store, farm, block_id=farm.blocks[1].id)
    for subject in ({"variety_id": variety_of(farm)}, {"block_id": own}):
        with pytest.raises(ConflictError, match="Open that one"):
            make(store, farm, **subject)
    for subject in ({"variety_id": variety_of(farm), "block_id": own}, {"variety_id": None}):
        with pytest.raises(InputError, match="Give one"):
            make(store, farm, **subject)
    with pytest.raises(IntegrityError), store.write() as conn:
        both = Brief(NOBODY, farm.farm.id, farm.season.id, variety_of(farm), own)
        conn.execute(brief_tables.briefs.insert().values(_values(both)))


def _values(brief):
    names = ("id", "farm_id", "season_id", "variety_id", "block_id")
    return {name: getattr(brief, name) for name in names} | {"draft": "{}", "revision": 1, "saved_at": NOW}


def test_what_is_another_farms_is_unknown_in_the_words_of_an_id_that_nothing_has(store, farm):
    other = small_farm(store, new_id())
    foreign = make(store, other)
    publish(store, foreign)
    for one in (foreign.id, NOBODY):
        stranger = replace(foreign, id=one, farm_id=farm.farm.id)
        for call in (
            lambda at: save(store, at, ready_made("tip_renewed"), revision=1),
            lambda at: publish(store, at, revision=1),
            lambda at: brief_reading.brief_json(store, at.farm_id, at.id, with_draft=True),
            lambda at: brief_reading.version_of(store, at.farm_id, at.id, 1),
            lambda at: brief_reading.differences_json(store, at.farm_id, at.id, old=1, new=None),
            lambda at: make(store, farm, start=CopyOf(at.id, {farm.farm.id: Grant("manager")})),
        ):
            with pytest.raises(UnknownError) as told:
                call(stranger)
            assert (told.value.what, told.value.where) == ("no such brief", one)
    for subject in ({"variety_id": variety_of(other)}, {"block_id": other.blocks[0].id}):
        with pytest.raises(UnknownError):
            make(store, farm, **subject)
    with pytest.raises(UnknownError, match="season"):
        make(store, replace(farm, season=other.season))
    for seasons in ((farm.season, other.season), (other.season, farm.season)):
        with pytest.raises(UnknownError, match="season"):
            copy_season(store, farm, *seasons)
    assert brief_reading.briefs_json(
        store, farm.farm.id, season_id=other.season.id, with_drafts=True, now=NOW
    ) == []  # fmt: skip


def a_brief(store, farm):
    """A new brief of a new variety: each example has one of its own."""
    variety = planting.add_variety(store, farm_id=farm.farm.id, name=new_id(), habit="tip")
    return make(store, farm, variety_id=variety.id)


@ON_A_STORE
@given(content=contents())
def test_any_draft_that_is_saved_is_read_back_to_the_letter(store, farm, content):
    """Half edited, with odd text and numbers, its languages in their order: through text on both engines."""
    brief = a_brief(store, farm)
    assert save(store, brief, content, revision=1) == 2
    kept = draft_of(store, brief)
    assert content_to_text(kept.content) == content_to_text(content)
    assert kept == Draft(content, 2, NOW, None)


def test_text_that_one_engine_alone_could_hold_is_kept_by_both(store, farm):
    """PostgreSQL's text holds no NUL, and no half of a surrogate pair: JSON in ASCII holds either."""
    brief = make(store, farm)
    odd = replace(ready_made("tip_renewed"), notes={"es": "\x00 \ud800 ñ", "en": "\U0001f34e"})
    save(store, brief, odd, revision=1)
    kept = draft_of(store, brief).content
    assert list(kept.notes.items()) == list(odd.notes.items())


def test_who_saved_meanwhile_is_named_and_nothing_is_lost(store, farm):
    brief = make(store, farm)
    first, second = (
        account_keeping.add_account(store, login=name, name=name.title(), password=None, now=NOW)
        for name in ("tomasz", "gwen")
    )
    mine, hers = (with_limbs(ready_made("tip_renewed"), low) for low in (10, 12))
    assert save(store, brief, hers, revision=1, by=second.id) == 2
    with pytest.raises(ConflictError, match=r"^revision 2: Gwen saved.*still on your screen") as told:
        save(store, brief, mine, revision=1, by=first.id)
    assert told.value.where == "revision 2"
    with pytest.raises(ConflictError, match="You, in another window"):
        save(store, brief, mine, revision=1, by=second.id)
    with pytest.raises(ConflictError, match="Gwen saved"):
        publish(store, brief, revision=1, by=first.id)
    with pytest.raises(ConflictError):
        save(store, brief, mine, revision=7, by=first.id)
    assert draft_of(store, brief) == Draft(hers, 2, NOW, second.id), "as she left it"
    assert save(store, brief, hers, revision=1, by=second.id) == 2, "the first answer was lost"
    assert save(store, brief, mine, revision=2, by=first.id) == 3
    turned = replace(mine, notes={"es": "b", "en": "a"})
    save(store, brief, turned, revision=3)
    assert save(store, brief, replace(turned, notes={"en": "a", "es": "b"}), revision=4) == 5, (
        "the order of languages is part of what was written"
    )


def test_what_is_not_fit_is_not_published_and_everything_wrong_is_listed(store, farm):
    brief = make(store, farm)
    content = draft_of(store, brief).content
    bad = (
        replace(content.points[0], sentences={"en": "Do it."}, picture="nothing"),
        replace(content.points[1], source=" "),
    )
    save(store, brief, replace(content, points=bad, cautions=("bears",)), revision=1)
    with pytest.raises(UnfitBriefError) as told:
        publish(store, brief)
    places = [one["where"] for one in told.value.faults]
    assert places == ["point 1, sentences", "point 1, picture", "point 2, source", "cautions"]
    assert all(f"[{one['where']}] {one['what']}" in str(told.value) for one in told.value.faults)
    with store.read() as conn:
        assert briefs.versions(conn, brief.id) == []
    with pytest.raises(UnknownError, match="no such brief"):
        brief_reading.brief_json(store, farm.farm.id, brief.id, with_draft=False)


def test_publishing_tells_every_block_of_the_variety_and_the_audit_log(store, farm):
    brief, own = make(store, farm), make(store, farm, block_id=farm.blocks[1].id)
    unplanted = planting.add_variety(store, farm_id=farm.farm.id, name="Not Planted", habit="spur")
    bare = make(store, farm, variety_id=unplanted.id)
    with store.read() as conn:
        begin = log.cursor(conn, farm.farm.id)
    for one in (brief, own, bare):
        assert publish(store, one).is_new
    with store.read() as conn:
        found = [
            (c.kind, c.subject_id, c.block_id) for c in log.changes_after(conn, farm.farm.id, begin, limit=10)
        ]
        noted = [dict(e.detail) for e in audit.entries(conn) if e.what == "brief_published"][-3:]
    ids = [block.id for block in farm.blocks]
    assert found == [
        *[("brief", brief.id, block_id) for block_id in sorted(ids)],
        ("brief", own.id, ids[1]),
        ("brief", bare.id, None),
    ]
    assert noted == [{"version": 1}] * 3


def test_publishing_the_same_again_makes_no_version(store, farm):
    brief = make(store, farm)
    first = publish(store, brief)
    again = publish(store, brief, now=NOW + timedelta(hours=1))
    assert (again.version, again.is_new) == (first.version, False)
    assert republish(store, brief, low=16).version.version == 2


@ON_A_STORE
@given(
    steps=st.lists(
        st.tuples(st.sampled_from(["edit", "replace", "publish"]), st.integers(1, 20), contents()), max_size=9
    )
)
def test_a_published_version_never_changes_whatever_follows(store, farm, steps):
    """After any edits and publications every version reads as it did when it was published, numbered without a gap."""
    brief = a_brief(store, farm)
    published = [publish(store, brief).version]
    for minute, (step, low, content) in zip(count(1), steps, strict=False):
        kept = draft_of(store, brief)
        if step == "publish":
            try:
                told = publish(store, brief, now=NOW + timedelta(minutes=minute))
            except UnfitBriefError:
                continue
            published += [told.version] if told.is_new else []
        else:
            start = ready_made(HABITS[low % len(HABITS)])
            save(store, brief, with_limbs(start, low) if step == "edit" else content, revision=kept.revision)
        with store.read() as conn:
            assert briefs.versions(conn, brief.id) == published
            assert [v.version for v in published] == list(range(1, len(published) + 1))
            assert briefs.latest_versions(conn, [brief.id])[brief.id] == published[-1]


def test_blocks_own_brief_goes_before_its_varietys_once_it_is_published(store, farm):
    brief = make(store, farm)
    assert held(store, farm) == [None, None], "a draft teaches nobody"
    publish(store, brief)
    own = make(store, farm, block_id=farm.blocks[1].id)
    assert held(store, farm) == [(brief.id, 1)] * 2
    publish(store, own)
    assert held(store, farm) == [(brief.id, 1), (own.id, 1)]
    republish(store, brief, low=16)
    assert held(store, farm) == [(brief.id, 2), (own.id, 1)]


def test_latest_version_by_then_holds_on_a_day_and_at_a_moment(store, farm):
    """Days are the farm's: in Rome the 19th ends at 23:00 UTC."""
    brief = make(store, farm)
    publish(store, brief, now=NOW - timedelta(days=3))
    midnight = NOW.replace(hour=23, minute=0) - timedelta(days=1)
    republish(store, brief, low=16, now=midnight)
    republish(store, brief, low=15, now=NOW)
    yesterday = TODAY - timedelta(days=1)
    assert held(store, farm)[0] == (brief.id, 3)
    assert held(store, farm, now=NOW - timedelta(seconds=1))[0] == (brief.id, 2)
    assert held(store, farm, day=yesterday)[0] == (brief.id, 1)
    assert held(store, farm, day=TODAY - timedelta(days=4))[0] is None
    told = brief_reading.block_brief(store, farm.blocks[0].id, day=yesterday, now=NOW)
    assert told is not None
    assert told["version"] == 1
    bare = small_farm(store, new_id())
    assert brief_reading.block_brief(store, bare.blocks[0].id, day=None, now=NOW) is None


def copy_season(store, farm, old, new):
    return briefing.copy_season(
        store, farm_id=farm.farm.id, from_season_id=old.id, season_id=new.id, by=None, now=NOW
    )


def test_next_season_starts_from_the_last_ones_briefs_and_overwrites_none(store, farm):
    """A published version goes before its later draft; one never published is copied as its draft stands."""
    brief, own = (
        make(store, farm),
        make(store, farm, block_id=farm.blocks[0].id, start=ReadyMade("spur_uncut")),
    )
    taught = publish(store, brief).version.content
    save(store, brief, with_limbs(taught, 3), revision=1)
    opens, closes = TODAY + timedelta(days=300), TODAY + timedelta(days=400)
    season = planting.add_season(
        store, farm_id=farm.farm.id, name="next", opens_on=opens, must_finish_on=closes
    )
    made = copy_season(store, farm, farm.season, season)
    assert [(b.season_id, b.variety_id, b.block_id) for b in made] == [
        (season.id, brief.variety_id, None),
        (season.id, None, own.block_id),
    ]
    assert [draft_of(store, b).content for b in made] == [taught, ready_made("spur_uncut")]
    save(store, made[0], with_limbs(taught, 9), revision=1)
    assert copy_season(store, farm, farm.season, season) == [], "both are there already"
    assert draft_of(store, made[0]).content == with_limbs(taught, 9)
    assert held(store, farm) == [(brief.id, 1)] * 2, "this season's hold on"


def test_adviser_copies_from_any_farm_of_the_same_login_and_from_no_other(store, farm):
    other = small_farm(store, new_id())
    source = make(store, other, start=ReadyMade("spur_long_lived"))
    writes = {other.farm.id: Grant("adviser"), farm.farm.id: Grant("adviser")}
    reads = {other.farm.id: Grant("foreman"), farm.farm.id: Grant("manager")}
    with pytest.raises(UnknownError, match="no such brief"):
        make(store, farm, start=CopyOf(source.id, reads))
    one = make(store, farm, start=CopyOf(source.id, writes))
    assert draft_of(store, one).content == ready_made("spur_long_lived"), "the draft, for who writes there"
    publish(store, source)
    save(store, source, with_limbs(ready_made("spur_long_lived"), 2), revision=1)
    two = make(store, farm, start=CopyOf(source.id, reads), block_id=farm.blocks[0].id)
    assert draft_of(store, two).content == ready_made("spur_long_lived"), "published ones are for readers too"


def test_what_a_reader_is_told_of_a_season(store, farm):
    brief, unready = make(store, farm), make(store, farm, block_id=farm.blocks[0].id)
    publish(store, brief)
    save(store, brief, with_limbs(ready_made("tip_renewed"), 3), revision=1)

    def listed(*, with_drafts):
        return brief_reading.briefs_json(
            store, farm.farm.id, season_id=None, with_drafts=with_drafts, now=NOW
        )

    latest = {"version": 1, "published_at": NOW.isoformat()}
    (told,) = listed(with_drafts=False)
    assert told == {
        "id": brief.id, "farm_id": farm.farm.id, "season_id": farm.season.id, "variety_id": brief.variety_id,
        "block_id": None, "latest": latest,
    }  # fmt: skip
    drafts = {
        one["id"]: (one["latest"], one["revision"], one["is_changed"]) for one in listed(with_drafts=True)
    }
    signed = latest | {"published_by": ""}  # by the shell
    assert drafts == {brief.id: (signed, 2, True), unready.id: (None, 1, True)}
    read = brief_reading.brief_json(store, farm.farm.id, brief.id, with_draft=False)
    assert "draft" not in read
    assert read["latest"]["texts"]["es"]["points"][0].startswith("Corte")
    changes = brief_reading.differences_json(store, farm.farm.id, brief.id, old=1, new=None)
    assert [(c["point_key"], c["part"], c["old"], c["new"]) for c in changes] == [
        ("limb-count", "low", 18, 3)
    ]


def test_draft_with_unknown_drawing_and_caution_can_still_be_read(store, farm):
    brief = make(store, farm)
    odd = Point("a", {"en": "Do it."}, "nothing", "yes_no", None, None, "", "minor", True, "book")
    save(
        store,
        brief,
        replace(ready_made("tip_renewed"), points=(odd,), cautions=("bears", *CAUTIONS)),
        revision=1,
    )
    told = brief_reading.brief_json(store, farm.farm.id, brief.id, with_draft=True)["draft"]
    assert told["texts"]["en"]["pictures"] == ("",)
    assert len(told["texts"]["en"]["cautions"]) == len(CAUTIONS) + 1
    assert {one["where"] for one in told["problems"]} == {"point 1, picture", "cautions"}
