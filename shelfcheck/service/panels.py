"""``POST /api/panels/read``: a photo in, a panel out. ``POST /api/panels/check``: a typed one, checked."""

from __future__ import annotations

from collections.abc import Mapping
from http import HTTPStatus
from threading import BoundedSemaphore
from typing import Any

from flask import request
from flask_smorest import Blueprint

from shelfcheck.check import checked
from shelfcheck.errors import BusyError
from shelfcheck.panel_json import panel_from_json, panel_to_json
from shelfcheck.service.body import PHOTOS, described, read_body
from shelfcheck.service.language import language
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
    HTTPStatus.SERVICE_UNAVAILABLE,
    body=PHOTOS,
)
_QUERY = PanelQuery()


def blueprint(settings: Mapping[str, Any]) -> Blueprint:
    """Return the panel routes; at most ``settings["reads"]`` photos are read at a time."""
    panels = Blueprint("panels", __name__, description="Panels, photographed or typed.")
    readers = BoundedSemaphore(int(settings["reads"]))

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
        from shelfcheck.reading import engine_for, read_panel

        lang = language()
        request.max_content_length = int(settings["max_photo_bytes"])
        photo = request.get_data(cache=False)
        if not readers.acquire(timeout=float(settings["read_wait_seconds"])):
            raise BusyError(say("error.busy", lang))
        try:
            reading = read_panel(
                photo,
                engine=engine_for(lang, float(settings["read_seconds"])),
                most_pixels=int(settings["max_photo_pixels"]),
                lang=lang,
            )
        finally:
            readers.release()
        return panel_to_json(reading.panel, lang)

    return panels
