"""The service: the page at ``/``, the API under ``/api``, described at ``/api/openapi.json``."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from flask import Flask
from flask.json.provider import DefaultJSONProvider
from flask_smorest import Api

from shelfcheck import __version__
from shelfcheck.service import docs, pages, panels, portions, problems, reference, security
from shelfcheck.service.schemas import ProblemSchema
from shelfcheck.settings import load_settings

API_PREFIX = "/api"


class _Json(DefaultJSONProvider):
    """JSON in which the nutrients keep the order of the panel and words keep their accents."""

    sort_keys = False
    ensure_ascii = False

    def dumps(self, obj: Any, **kwargs: Any) -> str:
        """Return ``obj`` as JSON; half a surrogate pair, which no text holds, stays the escape it came as."""
        return super().dumps(obj, **kwargs).encode("utf-8", "backslashreplace").decode()


class _Api(Api):  # type: ignore[misc]  # flask-smorest ships no types
    """Describes every error that no route names by the one shape that all errors have."""

    ERROR_SCHEMA = ProblemSchema


def create_app(config: Mapping[str, object] | None = None) -> Flask:
    """Return the service as a WSGI application; ``config`` overrides settings by name (settings.py)."""
    settings = load_settings(config)
    app = Flask(__name__, static_folder=None)
    app.json = _Json(app)
    app.config.update(
        MAX_CONTENT_LENGTH=settings["max_json_bytes"],
        API_TITLE="Shelfcheck",
        API_VERSION=__version__,
        OPENAPI_VERSION="3.1.0",
        OPENAPI_URL_PREFIX=API_PREFIX,
        OPENAPI_JSON_PATH="openapi.json",
    )
    api = _Api(app)
    for blueprint in (reference.blueprint, panels.blueprint(settings), portions.blueprint):
        api.register_blueprint(blueprint, url_prefix=API_PREFIX)
    docs.register(app, API_PREFIX)
    app.register_blueprint(pages.blueprint)
    problems.register(app)
    security.register(app)
    return app
