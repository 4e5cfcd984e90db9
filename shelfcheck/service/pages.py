"""The page and the facts that it reckons with: ``web/`` at ``/`` and ``data/*.json`` at ``/data``."""

from __future__ import annotations

from pathlib import Path

from flask import Blueprint, Response, abort, send_from_directory

from shelfcheck import data

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


@blueprint.get("/modules/<path:name>")
def module_file(name: str) -> Response:
    """Answer a module of the page."""
    return _fresh(send_from_directory(web_folder() / "modules", name))


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
