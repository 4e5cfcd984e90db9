"""``POST /api/panels/read``: a photo in, a panel out. ``POST /api/panels/check``: a typed one, checked."""

from __future__ import annotations

from collections.abc import Mapping
from http import HTTPStatus
from typing import Any

from flask import request
from flask_smorest import Blueprint

from shelfcheck.check import checked
from shelfcheck.errors import BusyError, PhotoError, ReaderFailedError, ShelfcheckError, TooManyError
from shelfcheck.panel_json import panel_from_json, panel_to_json
from shelfcheck.photo_kinds import kind_of
from shelfcheck.readers import Answer, Pool
from shelfcheck.service.body import PHOTOS, described, read_body
from shelfcheck.service.clients import client_left, is_own, was_dropped
from shelfcheck.service.language import language
from shelfcheck.service.metrics import count_read
from shelfcheck.service.rates import Rate
from shelfcheck.service.schemas import PanelQuery, PanelSchema
from shelfcheck.words import say

_TYPED = described(
    PanelSchema,
    HTTPStatus.BAD_REQUEST,
    HTTPStatus.REQUEST_ENTITY_TOO_LARGE,
    HTTPStatus.UNSUPPORTED_MEDIA_TYPE,
    HTTPStatus.UNPROCESSABLE_ENTITY,
    body=PanelSchema,
)
_PHOTOGRAPHED = described(
    PanelSchema,
    HTTPStatus.REQUEST_ENTITY_TOO_LARGE,
    HTTPStatus.UNSUPPORTED_MEDIA_TYPE,
    HTTPStatus.UNPROCESSABLE_ENTITY,
    HTTPStatus.TOO_MANY_REQUESTS,
    HTTPStatus.REQUEST_TIMEOUT,
    HTTPStatus.SERVICE_UNAVAILABLE,
    body=PHOTOS,
)
_QUERY = PanelQuery()


def blueprint(pool: Pool, photos: Rate, settings: Mapping[str, Any]) -> Blueprint:
    """Return the panel routes.

    Args:
        pool: the readers that photos are handed to.
        photos: counts the photos of each address.
        settings: the service's, by name.
    """
    panels = Blueprint("panels", __name__, description="Panels, photographed or typed.")

    @panels.post("/panels/check")
    @panels.doc(**_TYPED)
    def check_panel() -> dict[str, Any]:
        """Check a typed panel: every contradiction at once, every doubt beside its field."""
        query, lang = read_body(_QUERY), language()
        return panel_to_json(checked(panel_from_json(query, lang), lang), lang)

    @panels.post("/panels/read")
    @panels.doc(**_PHOTOGRAPHED)
    def read_photo() -> dict[str, Any]:
        """Read the panel on a photo, sent as the raw body. The photo is not kept."""
        lang = language()
        request.max_content_length = int(settings["max_photo_bytes"])
        photo = request.get_data(cache=False)
        if was_dropped(request.environ):
            raise BusyError(say("error.busy", lang))
        if kind_of(photo) is None:
            raise PhotoError(say("error.photo_format", lang))
        _count(photos, lang)
        try:
            answer = pool.read(photo, lang, client_left(request.environ))
        except ShelfcheckError as error:
            count_read(error.code, {}, ())
            raise
        count_read(*_counted(answer))
        if answer.panel is None:
            raise answer.error or ReaderFailedError(say("error.reader_failed", lang))
        return answer.panel

    return panels


def _count(photos: Rate, lang: str) -> None:
    """Count a photo of the address that sent it.

    An address of this machine stands for a proxy that nobody told us of, with every phone behind it.
    """
    address = request.remote_addr or ""
    wait = 0 if is_own(address) else photos.take(address)
    if wait:
        raise TooManyError(say("error.too_many_photos", lang), wait)


def _counted(answer: Answer) -> tuple[str, Mapping[str, float], list[str]]:
    """Return the outcome of a read, its seconds by stage, and the state of each field."""
    if answer.panel is None:
        return answer.error.code if answer.error else ReaderFailedError.code, answer.seconds, []
    fields = [*answer.panel["nutrients"].values(), *answer.panel["serving"].values()]
    states = [field["state"] for field in fields if isinstance(field, dict)]
    return "read", answer.seconds, states
