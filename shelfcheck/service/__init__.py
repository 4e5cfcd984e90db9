"""The service: the page at ``/``, the API under ``/api``, described at ``/api/openapi.json``."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import orjson
from flask import Flask
from flask.json.provider import DefaultJSONProvider
from flask_smorest import Api

from shelfcheck import __version__
from shelfcheck.readers import make_pool
from shelfcheck.service import (
    docs,
    hearing,
    joining,
    logs,
    metrics,
    origin,
    pages,
    panels,
    portions,
    problems,
    proxy,
    reference,
    security,
    tours,
    watch,
)
from shelfcheck.service.parts import READERS
from shelfcheck.service.rates import MINUTE, Rate
from shelfcheck.service.schemas import ProblemSchema
from shelfcheck.service.tour_access import EXTENSION, Opener
from shelfcheck.settings import load_settings

API_PREFIX = "/api"


class _Json(DefaultJSONProvider):
    """JSON by orjson, in a fifth of the time: nutrients in the panel's order, words with their accents.

    The standard library takes what orjson refuses, such as NaN in a field or half a surrogate pair in a
    name, so that the fault is named by its field.
    """

    sort_keys = False

    def response(self, *args: Any, **kwargs: Any) -> Any:
        """Return an answer with the arguments as JSON."""
        content = self._prepare_response_obj(args, kwargs)
        try:
            body: Any = orjson.dumps(content)
        except TypeError:
            body = self.dumps(content)
        return self._app.response_class(body, content_type=self.mimetype)

    def loads(self, s: str | bytes, **kwargs: Any) -> Any:
        """Return what ``s`` holds."""
        try:
            return orjson.loads(s)
        except ValueError:
            return super().loads(s, **kwargs)


class _Api(Api):  # type: ignore[misc]  # flask-smorest ships no types
    """Describes every error that no route names by the one shape that all errors have."""

    ERROR_SCHEMA = ProblemSchema


def create_app(config: Mapping[str, object] | None = None) -> Flask:
    """Return the service as a WSGI application; ``config`` overrides settings by name (settings.py).

    Where ``db`` is set, that database is made ready now; else the file of tours is, at its first use.

    Raises:
        ValueError: when a setting cannot be used.
    """
    settings = load_settings(config)
    logs.set_up(str(settings["log"]))
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
    api.spec.components.security_scheme("lead", {"type": "http", "scheme": "bearer"})
    opener = app.extensions[EXTENSION] = Opener(settings)
    pool = app.extensions[READERS] = make_pool(settings)
    photos = Rate(int(settings["photos_per_minute"]), MINUTE)
    app.extensions[pages.EXTENSION] = settings
    for blueprint in (
        reference.blueprint,
        panels.blueprint(pool, photos, settings),
        portions.blueprint,
        tours.blueprint,
        joining.blueprint,
    ):
        api.register_blueprint(blueprint, url_prefix=API_PREFIX)
    docs.register(app, API_PREFIX)
    app.register_blueprint(pages.blueprint)
    problems.register(app)
    origin.register(app)
    hearing.register(app, hearing.HEARD * int(settings["max_photo_bytes"]))
    watch.register(app, metrics.register(app, str(settings["metrics_from"])))
    security.register(app)
    proxy.register(app, str(settings["trusted_proxies"]))  # the outermost: all else sees what it tells
    if settings["db"]:
        opener.prepare()
    return app
