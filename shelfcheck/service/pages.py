"""The page and the facts that it reckons with: ``web/`` at ``/`` and ``data/*.json`` at ``/data``."""

from __future__ import annotations

from http import HTTPStatus
from pathlib import Path

from flask import Blueprint, Response, abort, redirect, request, send_from_directory
from werkzeug.wrappers import Response as AnyResponse

from shelfcheck import data
from shelfcheck.service.shell import precache

blueprint = Blueprint("pages", __name__)


def web_folder() -> Path:
    """Return the page's folder: inside an installed package, else beside it in a clone."""
    package = Path(data.FOLDER).parent
    inside = package / "web"
    return inside if inside.is_dir() else package.parent / "web"


@blueprint.get("/")
def index() -> Response:
    """Answer the page."""
    return _fresh(send_from_directory(web_folder(), "index.html"))


@blueprint.get("/<name>")
def page_file(name: str) -> Response:
    """Answer a file of the page; ``send_from_directory`` refuses anything outside its folder."""
    return _fresh(send_from_directory(web_folder(), name))


@blueprint.get("/sw.js")
def worker() -> Response:
    """Answer the service worker, as JavaScript on every system: browsers refuse it as anything else."""
    return _fresh(send_from_directory(web_folder(), "sw.js", mimetype="text/javascript"))


@blueprint.get("/precache.js")
def shell_list() -> Response:
    """Answer what the service worker keeps on the phone."""
    response = Response(precache(web_folder(), Path(data.FOLDER)), mimetype="text/javascript")
    response.add_etag()
    return _fresh(response.make_conditional(request))  # type: ignore[arg-type]  # it returns what it is called on


@blueprint.get("/manifest.webmanifest")
def manifest() -> Response:
    """Answer what a phone needs to know to install the app."""
    mimetype = "application/manifest+json"
    return _fresh(send_from_directory(web_folder(), "manifest.webmanifest", mimetype=mimetype))


@blueprint.post("/share")
def share() -> AnyResponse:
    """Send a shared photo's sender to the page, which says that the photo did not arrive.

    The service worker takes shared photos; one comes here only where the worker is gone.
    """
    return redirect("./?shared=0", HTTPStatus.SEE_OTHER)


@blueprint.get("/<any(modules, vendor, icons):folder>/<path:name>")
def inner_file(folder: str, name: str) -> Response:
    """Answer a module of the page, a library that it uses, or an icon."""
    return _fresh(send_from_directory(web_folder() / folder, name))


@blueprint.get("/data/<path:name>")
def fact_file(name: str) -> Response:
    """Answer a data file, the same that the service reckons with."""
    if not name.endswith(".json"):
        abort(404)
    return _fresh(send_from_directory(data.FOLDER, name, mimetype="application/json"))


def _fresh(response: Response) -> Response:
    """Let browsers keep the file but ask each time whether it changed."""
    response.headers["Cache-Control"] = "no-cache"
    return response
