"""The map page, its assets, the legend, and the front end."""

import secrets
from functools import cache
from pathlib import Path as FilePath
from typing import Annotated, Any, Literal
from urllib.parse import quote

from fastapi import APIRouter, Depends, Query, Request, Response
from fastapi.responses import FileResponse, HTMLResponse
from pydantic import BaseModel
from starlette.exceptions import HTTPException

from orchardmap.locale.catalogue import SOURCE_LANGUAGE, languages
from orchardmap.maps import legend
from orchardmap.maps.page import MapConfig, asset_files, content_security_policy, map_page
from orchardmap.usecases import reporting
from orchardmap_api.access import OPEN, READERS, AnyCaller, needs
from orchardmap_api.dependencies import AskedDay, AskedFarm, AskedLanguage, Now, ServiceSettings, ServiceStore

router = APIRouter(tags=["pages"])

FOREVER = "public, max-age=31536000, immutable"
WEB_PATHS = (
    "/",
    "/rows",
    "/checks",
    "/quality",
    "/settling",
    "/forecast",
    "/plan",
    "/briefs",
    "/timing",
    "/pay",
    "/farms",
    "/people",
    "/set-up",
    "/sign-in",
    "/first-start",
    "/pair",
)
"""Addresses of the front end's screens: each is answered with its one page."""


class MapQuery(BaseModel):
    """What a map's address asks of the service; the page itself reads the rest of it: place, blocks, crew and what is picked."""

    farm: AskedFarm
    day: AskedDay = None
    layer: Literal["progress", "quality", "remaining"] = "progress"
    embedded: bool = False
    lang: AskedLanguage = ""


def _to_the_door(request: Request, caller: AnyCaller) -> None:
    """Lead whoever opens a map and is not signed in to the door, which leads back to the same map; a framed one has no door."""
    opens_it = "text/html" in request.headers.get("accept", "") and "embedded" not in request.query_params
    if opens_it and caller.is_nobody and not caller.lapsed:
        then = quote(f"/map?{request.url.query}", safe="")
        raise HTTPException(303, "Sign in first", headers={"Location": f"/sign-in?then={then}"})


@router.get("/map", response_class=HTMLResponse, dependencies=[Depends(_to_the_door), needs(*READERS)])
def read_map(
    request: Request,
    store: ServiceStore,
    settings: ServiceSettings,
    now: Now,
    asked: Annotated[MapQuery, Query()],
) -> HTMLResponse:
    """Return the farm's map; it fetches its data from this service."""
    pack = reporting.farm_pack(store, str(asked.farm), now=now)
    nonce = secrets.token_urlsafe(18)
    config = MapConfig(
        farm_id=pack["id"],
        farm_name=pack["name"],
        # a day that has not come is shown as today is: nothing is known of it
        day=min(asked.day.isoformat(), pack["today"]) if asked.day else "",
        layer=asked.layer,
        tile_url=settings.tile_url,
        tile_credit=settings.tile_credit,
        embedded=asked.embedded,
        language=_language(asked.lang, request.headers.get("accept-language", "")),
    )
    headers = {
        "Content-Security-Policy": content_security_policy(nonce, tile_url=settings.tile_url),
        "Cache-Control": "no-store",
    }
    return HTMLResponse(map_page(config, nonce=nonce), headers=headers)


def _language(asked: str, accepted: str) -> str:
    """Return the language of a map: the one asked for, else the first that the browser accepts (RFC 9110, 12.5.4), else English."""
    told = [part.strip().split(";q=") for part in accepted.split(",")]
    ranked = sorted(
        told,
        key=lambda one: -float(one[1]) if len(one) > 1 and one[1].replace(".", "", 1).isdigit() else -1.0,
    )
    for code in [asked, *([] if asked else [one[0].split("-")[0].lower() for one in ranked])]:
        if code == SOURCE_LANGUAGE or code in languages():
            return code
    return SOURCE_LANGUAGE


@cache
def _assets() -> dict[str, tuple[bytes, str]]:
    return asset_files()


@router.get("/assets/{name:path}", dependencies=[OPEN])
def read_asset(name: str) -> Response:
    """Return one of the map's own files, named by its content."""
    found = _assets().get(f"/assets/{name}")
    if found is None:
        raise HTTPException(404, "Not Found")
    return Response(found[0], media_type=found[1], headers={"Cache-Control": FOREVER})


@router.get("/api/legend", dependencies=[OPEN])
def read_legend() -> dict[str, Any]:
    """Return the legend as data: every colour, line, glyph and word."""
    return legend.as_json()


def web_folder(configured: str) -> FilePath | None:
    """Return the folder with the built front end, or None where it was not built."""
    here = FilePath(__file__).resolve().parents[1]
    choices = (
        [FilePath(configured).resolve()] if configured else [here / "web", here.parents[1] / "web" / "dist"]
    )
    return next((folder for folder in choices if (folder / "index.html").is_file()), None)


def _screen(settings: ServiceSettings) -> Response:
    folder = web_folder(settings.web_dir)
    if folder is None:
        raise HTTPException(503, "The front end is not built: run make web")
    return FileResponse(folder / "index.html", headers={"Cache-Control": "no-cache"})


for _path in WEB_PATHS:
    router.add_api_route(_path, _screen, methods=["GET"], include_in_schema=False, dependencies=[OPEN])


@router.get("/sw.js", include_in_schema=False, dependencies=[OPEN])
def read_service_worker(settings: ServiceSettings) -> Response:
    """Return the front end's service worker: from here it may answer for all screens."""
    return _named_file(settings, "sw.js")


@router.get("/manifest.webmanifest", include_in_schema=False, dependencies=[OPEN])
def read_manifest(settings: ServiceSettings) -> Response:
    """Return what a browser needs to put the pages on the home screen."""
    return _named_file(settings, "manifest.webmanifest")


def _named_file(settings: ServiceSettings, name: str) -> Response:
    folder = web_folder(settings.web_dir)
    if folder is None or not (folder / name).is_file():
        raise HTTPException(404, "Not Found")
    kinds = {".js": "text/javascript", ".webmanifest": "application/manifest+json"}
    return FileResponse(
        folder / name, media_type=kinds[(folder / name).suffix], headers={"Cache-Control": "no-cache"}
    )


@router.get("/app/{name:path}", include_in_schema=False, dependencies=[OPEN])
def read_web_file(name: str, settings: ServiceSettings) -> Response:
    """Return one of the front end's files, named by its content."""
    folder = web_folder(settings.web_dir)
    try:
        file = (folder / name).resolve(strict=True) if folder else None
    except (OSError, ValueError):  # not there, or no name that a file could have
        file = None
    if folder is None or file is None or not file.is_relative_to(folder) or not file.is_file():
        raise HTTPException(404, "Not Found")
    hashed = "-" in file.stem and file.parent != folder
    return FileResponse(file, headers={"Cache-Control": FOREVER if hashed else "no-cache"})
