"""``/api/join/CODE``: what the phones of a group ask and say. No account, no name: a random number."""

from __future__ import annotations

import io
from http import HTTPStatus
from typing import Any

from flask import Response, abort, request
from flask_smorest import Blueprint

from shelfcheck.errors import NoTourError
from shelfcheck.service.body import described, read_object
from shelfcheck.service.language import language
from shelfcheck.service.problems import Answer, answer_to
from shelfcheck.service.tour_access import counted, store, unless_known
from shelfcheck.service.tour_schemas import (
    GuessedSchema,
    GuessQuery,
    JoinedSchema,
    OwnSchema,
    PhoneQuery,
    PhoneTourSchema,
    PracticeQuery,
    PractisedOneSchema,
)

_FAULTS = (HTTPStatus.NOT_FOUND, HTTPStatus.TOO_MANY_REQUESTS, HTTPStatus.SERVICE_UNAVAILABLE)
_BODY_FAULTS = (
    HTTPStatus.BAD_REQUEST,
    HTTPStatus.CONFLICT,
    HTTPStatus.REQUEST_ENTITY_TOO_LARGE,
    HTTPStatus.UNSUPPORTED_MEDIA_TYPE,
    HTTPStatus.UNPROCESSABLE_ENTITY,
    *_FAULTS,
)
_PHONE = {"name": "phone", "in": "query", "required": True, "schema": {"type": "string", "format": "uuid"}}
_SCHEME = {"name": "scheme", "in": "query", "schema": {"enum": ["http", "https"]}}
_PICTURE = {"200": {"description": "OK", "content": {"image/svg+xml": {"schema": {"type": "string"}}}}}

blueprint = Blueprint("joining", __name__, description="Group tours, for the phones that join one.")


@blueprint.errorhandler(NoTourError)
def refuse_code(error: NoTourError) -> Answer:
    """Answer a wrong code; an address that sends many is asked to wait."""
    return answer_to(counted(error))


@blueprint.get("/join/<code>")
@blueprint.doc(**described(PhoneTourSchema, *_FAULTS, unchanged=True))
def see_tour(code: str) -> Response:
    """Answer what a phone may see by now; 304 when If-None-Match has this version."""
    from shelfcheck.tours import join

    found, lang = store(), language()
    return unless_known(lambda: join.version(found, code, lang), lambda: join.see(found, code, lang))


@blueprint.put("/join/<code>/phone")
@blueprint.doc(**described(JoinedSchema, *_BODY_FAULTS, body=PhoneQuery))
def enter(code: str) -> dict[str, bool]:
    """Count the phone among those that joined; once or many times is the same."""
    from shelfcheck.tours import join

    join.enter(store(), code, read_object(), language())
    return {"joined": True}


@blueprint.put("/join/<code>/stops/<int:stop>/guess")
@blueprint.doc(**described(GuessedSchema, *_BODY_FAULTS, body=GuessQuery))
def guess(code: str, stop: int) -> dict[str, Any]:
    """Keep the amount a phone says; before the reveal it takes the place of the one before."""
    from shelfcheck.tours import join

    return join.guess(store(), code, stop, read_object(), language())


@blueprint.put("/join/<code>/practice")
@blueprint.doc(**described(PractisedOneSchema, *_BODY_FAULTS, body=PracticeQuery))
def practise(code: str) -> dict[str, Any]:
    """Keep what was poured for one of a measure, in place of what was poured in that round before."""
    from shelfcheck.tours import join

    return {"practice": join.practise(store(), code, read_object(), language())}


@blueprint.get("/join/<code>/mine")
@blueprint.doc(parameters=[_PHONE], **described(OwnSchema, *_FAULTS, HTTPStatus.UNPROCESSABLE_ENTITY))
def mine(code: str) -> dict[str, Any]:
    """Answer what this one phone said and poured, for a page that was loaded again."""
    from shelfcheck.tours import join

    return join.mine(store(), code, request.args, language())


@blueprint.get("/join/<code>/qr.svg")
@blueprint.doc(parameters=[_SCHEME], responses=described(None, HTTPStatus.NOT_FOUND)["responses"] | _PICTURE)
def draw_code(code: str) -> Response:
    """Draw the address at which a phone joins, as a QR code."""
    import segno

    from shelfcheck.tours.codes import typed_code

    known = typed_code(code) or abort(HTTPStatus.NOT_FOUND)
    scheme = "https" if request.args.get("scheme") == "https" else "http"
    address = f"{scheme}://{request.host}{request.root_path}/#/join/{known}"
    drawn = io.BytesIO()
    segno.make(address, error="m", micro=False).save(
        drawn, kind="svg", border=4, light="#fff", svgclass=None, omitsize=True
    )
    return Response(drawn.getvalue(), mimetype="image/svg+xml")
