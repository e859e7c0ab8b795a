"""A farm with everybody who may ask, and a request that works for every route: for the table of who may do what."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from shapely.geometry import MultiLineString, Point

from jpegs import plain_jpeg
from orchardmap.model.returns import Stretch
from orchardmap.store import drafts
from orchardmap.store import farm as farm_store
from orchardmap.store.lots import lots_of
from orchardmap.usecases import (
    account_keeping,
    brief_publishing,
    briefing,
    check_photos,
    closing,
    farm_features,
    hazard_lines,
    lot_drawing,
    lot_planning,
    pay_rules,
    pay_runs,
    planting,
    queue_board,
    reading_keys,
    recording,
    returning,
    tablets,
)
from orchardmap.usecases.briefing import BriefSubject, ReadyMade
from orchardmap.usecases.check_photos import NewPhoto
from orchardmap.usecases.credentials import hashed
from orchardmap.usecases.farm_features import NewFeature
from orchardmap.usecases.hazard_lines import NewLine
from orchardmap.usecases.moments import moment
from orchardmap.usecases.pay_reckoning import RunDays
from orchardmap.usecases.pay_rules import Doer
from orchardmap.usecases.person_hours import TypedHours, type_hours
from orchardmap.usecases.planting import new_id
from orchardmap.usecases.returning import NewReturn
from service_routes import BODIES, ONE_OUTLINE, QUERIES, filled
from signing import bearer, bearer_token, forget_confirmation, give_password
from small_farm import NOW, TODAY, SmallFarm

CALLERS = (
    "anonymous",
    "ended",
    "revoked",
    "foreman_tablet",
    "other_tablet",
    "auditor_tablet",
    "manager",
    "auditor",
    "adviser",
    "foreman",
    "other_manager",
    "stale_manager",
    "key",
    "ended_key",
)
PASSWORD, PIN = "a ladder in the rain", "274901"
HASHED = hashed(PASSWORD)
"""Once: hashing takes its time."""
UNKNOWN = "00000000-0000-7000-8000-000000000000"


@dataclass
class World:
    """The served farm, another one, and clients for everybody."""

    service: Any
    other: SmallFarm
    holders: dict[str, str]
    """Caller -> who may hold that tablet."""
    clients: dict[str, Any]
    preview: dict[str, Any]

    @property
    def farm(self) -> SmallFarm:
        """The farm that is asked about."""
        return self.service.farm  # type: ignore[no-any-return]

    def fresh(self, caller: str) -> Any:
        """A client of its own for a caller, where a call would spoil it for the others."""
        return client_for(self.service, self.other, caller)

    def request(self, method: str, path: str, caller: str, farm: SmallFarm | None = None) -> tuple[str, Any]:
        """Return address, and the rest of a request that the route takes and can do."""
        at = farm or self.farm
        ids = {"farm_id": at.farm.id, "block_id": at.blocks[0].id, "token": "waiting-" + new_id()}
        ids |= {"code:path": "K1", "row": "1"}
        made = SPECIAL.get((method, path))
        if "{token}" in path:
            with self.service.store.write() as conn:
                drafts.save_draft(conn, ids["token"], at.farm.id, self.preview, now=NOW)
        more: dict[str, Any] = {}
        if path in QUERIES:
            query = dict(QUERIES[path])
            query |= {"farm": at.farm.id} if "farm" in query else {}
            query |= {"block": at.blocks[0].id} if "block" in query else {}
            more["params"] = query
        if path in BODIES and method in {"POST", "PUT", "PATCH"}:
            more["json"] = BODIES[path] | ({"name": new_id()} if "name" in BODIES[path] else {})
        if path.endswith("/imports"):
            more["files"] = {"file": ("x.geojson", ONE_OUTLINE.encode())}
        if made is not None:
            changes = made(self, at, caller)
            ids |= changes.pop("ids", {})
            more |= changes
        return filled(path, **ids), more


def _account(world: World, at: SmallFarm) -> str:
    made = account_keeping.add_account(world.service.store, login=new_id(), name="X", password=None, now=NOW)
    account_keeping.give_role(world.service.store, made, farm_id=at.farm.id, role="adviser", now=NOW)
    return made.id


def _device(world: World, at: SmallFarm) -> str:
    store = world.service.store
    code = _code(world, at)
    tablets.pair(store, code=code, place="test", now=NOW)
    return tablets.listed(store, at.farm.id)[0].id


def made_key(store: Any, farm_id: str) -> tuple[dict[str, str], str]:
    """Make a reading key; return farm's and key's id, and the key itself."""
    wish = reading_keys.KeyWish(new_id())
    told, key = reading_keys.make(store, actor="shell", farm_id=farm_id, wish=wish, now=NOW)
    return {"farm_id": farm_id, "key_id": told["id"]}, key


def _code(world: World, at: SmallFarm) -> str:
    wish = tablets.TabletWish("Tablet", "auditor")
    return tablets.make_code(
        world.service.store, actor="shell", farm_id=at.farm.id, tablet=wish, now=NOW
    ).code


def _link(world: World) -> str:
    store = world.service.store
    made = account_keeping.add_account(store, login=new_id(), name="X", password=None, now=NOW)
    return account_keeping.make_link(store, made, now=NOW)


def _block(code: str) -> dict[str, Any]:
    planting_of = {"row_spacing_m": 4.0, "tree_spacing_m": 2.0}
    return {"blocks": [{"index": 0, "code": code, "planting": planting_of}]}


def _record(world: World, at: SmallFarm, kind: str) -> dict[str, Any]:
    mark = at.mark(row=2)
    if kind == "withdrawals":
        recording.record_marks(world.service.store, farm_id=at.farm.id, marks=[mark], sent_at=NOW, now=NOW)
    common = {"id": new_id(), "season_id": at.season.id, "device_at": NOW.isoformat()}
    place = {"block_id": at.blocks[0].id, "row": 2, "day": TODAY.isoformat()}
    work = {"crew_id": mark.crew_id, "method": "ladder"}
    made: dict[str, dict[str, Any]] = {
        "marks": common | place | work | {"first": 1, "last": 4},
        "withdrawals": {"id": new_id(), "mark_id": mark.id, "device_at": NOW.isoformat()},
        "checks": common | place | {"position": 1, "auditor_id": at.auditor.id, "verdict": "meets"},
        "tree_counts": common | place | {"position": 1, "what": "limbs", "number": 18},
        "crew_days": common | work | {"day": TODAY.isoformat(), "people": 3, "hours": 7.5},
    }
    return {"json": {"sent_at": NOW.isoformat(), kind: [made[kind]]}}


def _check(world: World, at: SmallFarm) -> dict[str, Any]:
    with world.service.store.read() as conn:
        season = moment(conn, at.farm.id, None, NOW).season  # others of the table open seasons
    assert season is not None
    # the first block is closed by others of the table
    made = at.check(row=2, block_id=at.blocks[1].id, season_id=season.id)
    recording.record_checks(world.service.store, farm_id=at.farm.id, checks=[made], sent_at=NOW, now=NOW)
    return {"ids": {"feature_id": made.id}}


def _closure(world: World, at: SmallFarm) -> dict[str, Any]:
    span = NOW + timedelta(days=1), NOW + timedelta(days=2)
    made = closing.close_block(
        world.service.store, block_id=at.blocks[0].id, span=span, reason="felling", now=NOW
    )
    return {"ids": {"closure_id": made.id}, "json": {"ends_at": made.starts_at.isoformat()}}


def _settlement(world: World, at: SmallFarm) -> dict[str, Any]:
    mark = at.mark(row=3, first=1, last=4)
    recording.record_marks(world.service.store, farm_id=at.farm.id, marks=[mark], sent_at=NOW, now=NOW)
    place = {"season_id": at.season.id, "block_id": at.blocks[0].id, "row": 3, "first": 1, "last": 4}
    said = {"id": new_id(), "stretch": place | {"credited_crew_id": None}, "seen": [mark.id], "note": ""}
    return {"json": said}


def _queues(world: World, at: SmallFarm) -> dict[str, Any]:
    """The queues as they are: whoever saves them raises the revision."""
    told = queue_board.read_queues(world.service.store, at.farm.id, now=NOW)
    return {name: told[name] for name in BODIES[f"{FARM}/queues"]}


def _new_return(world: World, at: SmallFarm) -> dict[str, Any]:
    # others of the table close the first block, and open seasons
    with world.service.store.read() as conn:
        season = moment(conn, at.farm.id, None, NOW).season
    assert season is not None
    mark = at.mark(row=4, first=1, last=6, block_id=at.blocks[1].id, season_id=season.id)
    recording.record_marks(world.service.store, farm_id=at.farm.id, marks=[mark], sent_at=NOW, now=NOW)
    own = {"id": new_id(), "block_id": mark.block_id, "crew_id": mark.crew_id}
    return {"json": BODIES[f"{FARM}/returns"] | own}


def _return(world: World, at: SmallFarm) -> dict[str, Any]:
    body = _new_return(world, at)["json"]
    asked = NewReturn(body["id"], body["block_id"], body["crew_id"], TODAY, stretches=(Stretch(4, 1, 6),))
    returning.make_return(world.service.store, farm_id=at.farm.id, asked=asked, now=NOW)
    return {"ids": {"return_id": asked.id}}


def _line(world: World, at: SmallFarm) -> dict[str, Any]:
    line = NewLine("X", 11.0, MultiLineString([[(11.299, 46.5), (11.301, 46.5)]]))
    made = hazard_lines.add_line(world.service.store, farm_id=at.farm.id, line=line, now=NOW)
    return {"ids": {"line_id": made.id}}


def _feature(world: World, at: SmallFarm) -> dict[str, Any]:
    said = NewFeature("gate", "X", Point(11.299, 46.5))
    made = farm_features.add_feature(world.service.store, farm_id=at.farm.id, said=said, now=NOW)
    return {"ids": {"feature_id": made.id}}


def _brief(world: World, at: SmallFarm) -> dict[str, Any]:
    """A block's brief of a season of its own, published once; its draft is of revision 1."""
    store = world.service.store
    season = planting.add_season(
        store, farm_id=at.farm.id, name=new_id(), opens_on=date(2020, 1, 1), must_finish_on=date(2020, 2, 1)
    )
    subject = BriefSubject(season.id, block_id=at.blocks[0].id)
    made = briefing.make_brief(
        store, farm_id=at.farm.id, subject=subject, start=ReadyMade("tip_renewed"), by=None, now=NOW
    )
    brief_publishing.publish(store, farm_id=at.farm.id, brief_id=made.id, revision=1, by=None, now=NOW)
    return {"ids": {"brief_id": made.id}}


def _new_brief(world: World, at: SmallFarm) -> dict[str, Any]:
    body = BODIES[f"{FARM}/briefs"]
    store = world.service.store
    variety = planting.add_variety(store, farm_id=at.farm.id, name=new_id(), habit="tip")
    return {"json": body | {"season_id": at.season.id, "variety_id": variety.id}}


def _photo(world: World, at: SmallFarm) -> dict[str, Any]:
    """A photo that is kept, and the request that hands it in again."""
    store, check, photo_id, jpeg = world.service.store, at.check(row=2), new_id(), plain_jpeg()
    recording.record_checks(store, farm_id=at.farm.id, checks=[check], sent_at=NOW, now=NOW)
    photo = NewPhoto(photo_id, check.id, jpeg)
    check_photos.keep_photo(store, farm_id=at.farm.id, photo=photo, actor="shell", now=NOW)
    return {"ids": {"photo_id": photo_id}, "params": {"check_id": check.id}, "content": jpeg}


def _pruned(world: World, at: SmallFarm) -> dict[str, Any]:
    """A few trees that no lot holds yet: each lot drawn so far took the ones before."""
    with world.service.store.read() as conn:
        season = moment(conn, at.farm.id, None, NOW).season  # others of the table open seasons
        assert season is not None
        turn, row = divmod(len(lots_of(conn, season.id)), 20)
    # the first block is closed by others of the table
    block_id, first = at.blocks[1].id, 1 + 5 * turn
    mark = at.mark(row=5 + row, first=first, last=first + 4, block_id=block_id, season_id=season.id)
    recording.record_marks(world.service.store, farm_id=at.farm.id, marks=[mark], sent_at=NOW, now=NOW)
    return {"json": {"block_id": mark.block_id, "extra": 3}}


def _new_lot(world: World, at: SmallFarm) -> dict[str, Any]:
    return {"json": _pruned(world, at)["json"] | {"id": new_id()}}


def _lot(world: World, at: SmallFarm) -> dict[str, Any]:
    block_id = _pruned(world, at)["json"]["block_id"]
    asked = lot_drawing.NewLot(new_id(), lot_planning.LotWish(block_id), 7)
    made = lot_drawing.draw_lot(world.service.store, farm_id=at.farm.id, asked=asked, now=NOW)
    return {"ids": {"lot_id": made.id}}


def _rules(world: World, at: SmallFarm) -> dict[str, Any]:
    revision = pay_rules.rules_json(world.service.store, at.farm.id)["revision"]
    return {"json": BODIES[f"{FARM}/pay-rules"] | {"revision": revision}}


def _hours(world: World, at: SmallFarm) -> dict[str, Any]:
    """Hours of somebody of whom none were typed."""
    person = planting.add_person(world.service.store, farm_id=at.farm.id, name=new_id(), role="worker")
    own = {"id": new_id(), "person_id": person.id, "crew_id": at.crews[0].id}
    (entry,) = BODIES[f"{FARM}/person-hours"]["hours"]
    return {"json": {"hours": [entry | own]}}


def _new_run(world: World, at: SmallFarm) -> dict[str, Any]:
    """A run of a season of its own, with hours that nobody was paid for."""
    store, day = world.service.store, date(2024, 1, 10)
    rules = BODIES[f"{FARM}/pay-rules"]
    if not pay_rules.rules_json(store, at.farm.id)["revision"]:
        pay_rules.save_rules(store, farm_id=at.farm.id, **rules, by=Doer(None, "shell", NOW))
    opens, ends = date(2024, 1, 1), date(2024, 3, 1)
    if not any(season.opens_on == opens for season in _seasons(store, at.farm.id)):
        planting.add_season(store, farm_id=at.farm.id, name=new_id(), opens_on=opens, must_finish_on=ends)
    person = planting.add_person(store, farm_id=at.farm.id, name=new_id(), role="worker")
    mark = at.mark()
    typed = TypedHours(new_id(), person.id, mark.crew_id, day, 8)
    type_hours(store, farm_id=at.farm.id, typed=[typed], now=NOW)
    seen = pay_runs.preview(store, at.farm.id, RunDays(day, day), now=NOW)["digest"]
    said = {"id": new_id(), "first": day.isoformat(), "last": day.isoformat(), "seen": seen}
    return {"json": BODIES[f"{FARM}/pay-runs"] | said}


def _seasons(store: Any, farm_id: str) -> list[Any]:
    with store.read() as conn:
        return farm_store.seasons(conn, farm_id)


def _run(world: World, at: SmallFarm) -> dict[str, Any]:
    said = _new_run(world, at)["json"]
    days = RunDays(date.fromisoformat(said["first"]), date.fromisoformat(said["last"]))
    by = Doer(None, "shell", NOW)
    pay_runs.export_run(
        world.service.store, farm_id=at.farm.id, run_id=said["id"], days=days, seen=said["seen"], by=by
    )
    return {"ids": {"run_id": said["id"]}}


FARM = "/api/farms/{farm_id}"
BRIEF = FARM + "/briefs/{brief_id}"
Make = Callable[[World, SmallFarm, str], dict[str, Any]]
SPECIAL: dict[tuple[str, str], Make] = {
    ("POST", "/api/sign-in"): lambda w, at, c: {"json": {"login": "known", "password": PASSWORD}},
    ("POST", "/api/sign-in/link"): lambda w, at, c: {"json": {"code": _link(w)}},
    ("POST", "/api/confirm"): lambda w, at, c: {"json": {"password": PASSWORD}},
    ("POST", "/api/password"): lambda w, at, c: {"json": {"old": PASSWORD, "new": "a ladder, dry again"}},
    ("POST", "/api/pair"): lambda w, at, c: {"json": {"code": _code(w, at)}},
    ("POST", "/api/device/holder"): lambda w, at, c: {
        "json": {"person_id": w.holders.get(c, UNKNOWN), "pin": PIN}
    },
    ("POST", f"{FARM}/accounts"): lambda w, at, c: {
        "json": {"login": new_id(), "name": "X", "role": "adviser"}
    },
    ("POST", f"{FARM}/accounts/{{account_id}}/link"): lambda w, at, c: {
        "ids": {"account_id": _account(w, at)}
    },
    ("DELETE", f"{FARM}/accounts/{{account_id}}"): lambda w, at, c: {"ids": {"account_id": _account(w, at)}},
    ("POST", f"{FARM}/devices/{{device_id}}/revoke"): lambda w, at, c: {"ids": {"device_id": _device(w, at)}},
    ("DELETE", f"{FARM}/reading-keys/{{key_id}}"): lambda w, at, c: {
        "ids": made_key(w.service.store, at.farm.id)[0]
    },
    ("PUT", f"{FARM}/people/{{person_id}}/pin"): lambda w, at, c: {"ids": {"person_id": at.auditor.id}},
    ("POST", f"{FARM}/marks"): lambda w, at, c: _record(w, at, "marks"),
    ("POST", f"{FARM}/withdrawals"): lambda w, at, c: _record(w, at, "withdrawals"),
    ("POST", f"{FARM}/checks"): lambda w, at, c: _record(w, at, "checks"),
    ("POST", f"{FARM}/tree-counts"): lambda w, at, c: _record(w, at, "tree_counts"),
    ("POST", f"{FARM}/crew-days"): lambda w, at, c: _record(w, at, "crew_days"),
    ("POST", "/api/blocks/{block_id}/closures/{closure_id}/end"): lambda w, at, c: _closure(w, at),
    ("POST", f"{FARM}/settlements"): lambda w, at, c: _settlement(w, at),
    ("POST", f"{FARM}/returns"): lambda w, at, c: _new_return(w, at),
    ("POST", "/api/returns/{return_id}/cancel"): lambda w, at, c: _return(w, at),
    ("PUT", f"{FARM}/pay-rules"): lambda w, at, c: _rules(w, at),
    ("POST", f"{FARM}/person-hours"): lambda w, at, c: _hours(w, at),
    ("POST", f"{FARM}/pay-runs"): lambda w, at, c: _new_run(w, at),
    ("GET", f"{FARM}/pay-runs/{{run_id}}"): lambda w, at, c: _run(w, at),
    ("GET", f"{FARM}/pay-runs/{{run_id}}/sheets.pdf"): lambda w, at, c: _run(w, at),
    ("GET", f"{FARM}/pay-runs/{{run_id}}/book.xlsx"): lambda w, at, c: _run(w, at),
    ("POST", f"{FARM}/briefs"): lambda w, at, c: _new_brief(w, at),
    ("POST", f"{FARM}/brief-copies"): lambda w, at, c: {
        "json": {"from_season_id": at.season.id, "season_id": at.season.id}
    },
    ("PUT", f"{FARM}/photos/{{photo_id}}"): lambda w, at, c: _photo(w, at),
    ("GET", "/api/photos/{photo_id}"): lambda w, at, c: {"ids": _photo(w, at)["ids"]},
    ("POST", f"{FARM}/lots/plan"): lambda w, at, c: _pruned(w, at),
    ("POST", f"{FARM}/lots"): lambda w, at, c: _new_lot(w, at),
    ("GET", "/api/lots/{lot_id}"): lambda w, at, c: _lot(w, at),
    ("POST", "/api/lots/{lot_id}/cancel"): lambda w, at, c: _lot(w, at),
    ("PUT", f"{FARM}/calendar"): lambda w, at, c: {
        "json": BODIES[f"{FARM}/calendar"] | {"season_id": at.season.id}
    },
    ("PUT", f"{FARM}/queues"): lambda w, at, c: {"json": _queues(w, at)},
    ("POST", f"{FARM}/queue-forecasts"): lambda w, at, c: {"json": _queues(w, at)},
    ("PUT", f"{FARM}/strengths"): lambda w, at, c: {"json": {"strengths": []}},
    ("PUT", f"{FARM}/weather"): lambda w, at, c: {"content": b"date,tmin_c,tmax_c\n2026-01-20,-3,4\n"},
    ("PATCH", f"{FARM}/seasons/{{season_id}}"): lambda w, at, c: {"ids": {"season_id": at.season.id}},
    ("PATCH", f"{FARM}/crews/{{crew_id}}"): lambda w, at, c: {"ids": {"crew_id": at.crews[2].id}},
    ("PATCH", f"{FARM}/people/{{person_id}}"): lambda w, at, c: {"ids": {"person_id": at.auditor.id}},
    ("PATCH", f"{FARM}/varieties/{{variety_id}}"): lambda w, at, c: {
        "ids": {"variety_id": at.blocks[0].variety_id}
    },
    ("DELETE", f"{FARM}/hazard-lines/{{line_id}}"): lambda w, at, c: _line(w, at),
    ("PATCH", f"{FARM}/farm-features/{{feature_id}}"): lambda w, at, c: _feature(w, at),
    ("DELETE", f"{FARM}/farm-features/{{feature_id}}"): lambda w, at, c: _feature(w, at),
    ("GET", BRIEF): lambda w, at, c: _brief(w, at),
    ("PUT", f"{BRIEF}/draft"): lambda w, at, c: _brief(w, at),
    ("POST", f"{BRIEF}/versions"): lambda w, at, c: _brief(w, at),
    ("GET", f"{BRIEF}/versions/{{version}}"): lambda w, at, c: _brief(w, at),
    ("GET", f"{BRIEF}/versions/{{version}}/card"): lambda w, at, c: _brief(w, at),
    ("GET", f"{BRIEF}/draft/card"): lambda w, at, c: _brief(w, at),
    ("GET", f"{BRIEF}/differences"): lambda w, at, c: _brief(w, at),
    ("GET", "/api/pictures/{name}"): lambda w, at, c: {"ids": {"name": "limb-count"}},
    ("GET", "/ogc/farms/{farm_id}/collections/{collection}/items/{feature_id}"): lambda w, at, c: _check(
        w, at
    ),
    ("POST", "/api/imports/{token}/plan"): lambda w, at, c: {"json": _block(new_id()[-8:])},
    ("POST", "/api/imports/{token}/take"): lambda w, at, c: {"json": _block(new_id()[-8:])},
}


def prepares(method: str, path: str) -> bool:
    """Whether making a request for a route may add something to the farm first."""
    return "{token}" in path or (method, path) in SPECIAL


def client_for(service: Any, other: SmallFarm, caller: str) -> Any:
    """Return a client for one of the callers."""
    if caller == "anonymous":
        return service.stranger()
    if caller == "ended":
        client = service.account("manager")
        assert client.post("/api/sign-out").status_code == 204
        return client
    if caller == "revoked":
        client = service.tablet()
        device = client.get("/api/who").json()["device"]["id"]
        tablets.revoke(service.store, actor="shell", farm_id=service.farm.farm.id, device_id=device, now=NOW)
        return client
    if caller in {"key", "ended_key"}:
        ids, key = made_key(service.store, service.farm.farm.id)
        if caller == "ended_key":
            reading_keys.end(service.store, actor="shell", **ids, now=NOW)
        return bearer(service.stranger(), key)
    if caller in {"foreman_tablet", "other_tablet", "auditor_tablet"}:
        return service.tablet({"foreman_tablet": 0, "other_tablet": 1, "auditor_tablet": None}[caller])
    at = other if caller == "other_manager" else service.farm
    client = service.account(caller.rpartition("_")[2], farm=at)
    give_password(service.store, bearer_token(client), HASHED)
    if caller == "stale_manager":
        forget_confirmation(service.store, bearer_token(client), now=NOW)
    return client


def made_world(service: Any, other: SmallFarm, preview: dict[str, Any]) -> World:
    """Make everybody who asks."""
    store, farm = service.store, service.farm
    holders = {"auditor_tablet": farm.auditor.id}
    for caller, crew in (("foreman_tablet", 0), ("other_tablet", 1)):
        holders[caller] = planting.add_person(
            store, farm_id=farm.farm.id, name=f"Foreman {crew}", role="foreman", crew_id=farm.crews[crew].id
        ).id
    for person in holders.values():
        tablets.set_pin(store, actor="shell", farm_id=farm.farm.id, person_id=person, pin=PIN, now=NOW)
    account_keeping.add_account(store, login="known", name="Known", password=PASSWORD, now=NOW)
    clients = {caller: client_for(service, other, caller) for caller in CALLERS}
    clients["manager"] = service.client  # who makes farms, too
    return World(service, other, holders, clients, preview)
