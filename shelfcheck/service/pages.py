"""The page and the facts that it reckons with: ``web/`` at ``/`` and ``data/*.json`` at ``/data``.

The files of the shell come joined and packed; the others as they lie in their folders.
"""

from __future__ import annotations

from http import HTTPStatus
from pathlib import Path

from flask import Blueprint, Flask, Response, abort, current_app, redirect, request, send_from_directory
from werkzeug.wrappers import Response as AnyResponse

from shelfcheck import data
from shelfcheck.service.shell import ShellFile, served

EXTENSION = "shelfcheck_pages"
"""The name by which an application holds the settings that the page tells."""
blueprint = Blueprint("pages", __name__)


def web_folder() -> Path:
    """Return the page's folder: inside an installed package, else beside it in a clone."""
    package = Path(data.FOLDER).parent
    inside = package / "web"
    return inside if inside.is_dir() else package.parent / "web"


@blueprint.get("/")
def index() -> Response:
    """Answer the page."""
    return _sent(_served()["./"])


@blueprint.get("/<name>")
def page_file(name: str) -> Response:
    """Answer a style sheet or a drawing of the page, its service worker or its manifest."""
    return _sent(_served().get(name) or abort(404))


@blueprint.post("/share")
def share() -> AnyResponse:
    """Send a shared photo's sender to the page, which says that the photo did not arrive.

    The service worker takes shared photos; one comes here only where the worker is gone.
    """
    return redirect("./?shared=0", HTTPStatus.SEE_OTHER)


@blueprint.get("/<any(modules, vendor, icons, data):folder>/<path:name>")
def inner_file(folder: str, name: str) -> Response:
    """Answer the page's script or its facts, or a file that these are made of, or an icon."""
    url = f"{folder}/{name}"
    made = _served().get(url)
    if made:
        return _sent(made)
    if folder != "data":
        return _fresh(send_from_directory(web_folder() / folder, name))
    if not name.endswith(".json"):
        abort(404)
    return _fresh(send_from_directory(data.FOLDER, name, mimetype="application/json"))


def prepare(app: Flask) -> None:
    """Make the shell of ``app`` and pack it, so that the first visitor does not wait for that."""
    with app.app_context():
        for file in _served().values():
            _ = file.packed


def _served() -> dict[str, ShellFile]:
    return served(web_folder(), Path(data.FOLDER), current_app.extensions[EXTENSION])


def _sent(file: ShellFile) -> Response:
    """Answer a file, as small as the browser can take it."""
    how = request.accept_encodings.best_match(list(file.packed))
    response = Response(file.packed[how] if how else file.body, mimetype=file.kind)
    response.set_etag(f"{file.hash}-{how}" if how else file.hash)
    response.vary.add("Accept-Encoding")
    if how:
        response.content_encoding = how
    return _fresh(response.make_conditional(request))  # type: ignore[arg-type]  # it returns what it is called on


def _fresh(response: Response) -> Response:
    """Let browsers keep the file but ask each time whether it changed."""
    response.headers["Cache-Control"] = "no-cache"
    return response
