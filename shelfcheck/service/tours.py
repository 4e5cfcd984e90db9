"""``/api/tours``: an educator makes a tour, leads it and takes its report home; her token opens it."""

from __future__ import annotations

from http import HTTPStatus
from typing import TYPE_CHECKING, Any

from flask import Response
from flask_smorest import Blueprint

from shelfcheck.service.body import described, read_object
from shelfcheck.service.language import language
from shelfcheck.service.tour_access import (
    count_make,
    has_version,
    lang_of,
    store,
    token,
    unless_known,
    versioned,
)
from shelfcheck.service.tour_schemas import (
    ChangedSchema,
    LinkSchema,
    MadeSchema,
    ReportSchema,
    SampleQuery,
    StateQuery,
    TourPlanSchema,
    TourSchema,
)

if TYPE_CHECKING:
    from shelfcheck.tours.lead import Made

_BODY_FAULTS = (
    HTTPStatus.BAD_REQUEST,
    HTTPStatus.REQUEST_ENTITY_TOO_LARGE,
    HTTPStatus.UNSUPPORTED_MEDIA_TYPE,
    HTTPStatus.UNPROCESSABLE_ENTITY,
    HTTPStatus.SERVICE_UNAVAILABLE,
)
_LEAD_FAULTS = (HTTPStatus.UNAUTHORIZED, HTTPStatus.SERVICE_UNAVAILABLE)
_LEAD: dict[str, Any] = {"security": [{"lead": []}]}
_CSV = {"200": {"description": "OK", "content": {"text/csv": {"schema": {"type": "string"}}}}}

blueprint = Blueprint("tours", __name__, description="Group tours, for the person who leads one.")


@blueprint.post("/tours")
@blueprint.doc(
    **described(
        MadeSchema,
        *_BODY_FAULTS,
        HTTPStatus.TOO_MANY_REQUESTS,
        body=TourPlanSchema,
        status=HTTPStatus.CREATED,
    )
)
def make_tour() -> Any:
    """Make a tour of a plan; the answer holds its code and, this once, its token."""
    from shelfcheck.tours import lead
    from shelfcheck.tours.plan import plan_from_json

    lang = language()
    plan = plan_from_json(read_object(), lang)
    count_make()
    return _made(lead.make(store(), plan, lang))


@blueprint.post("/tours/sample")
@blueprint.doc(
    **described(
        MadeSchema, *_BODY_FAULTS, HTTPStatus.TOO_MANY_REQUESTS, body=SampleQuery, status=HTTPStatus.CREATED
    )
)
def make_sample_tour() -> Any:
    """Make a tour of the sample plan, to try at once."""
    from shelfcheck.tours import lead
    from shelfcheck.tours.sample import sample_plan

    lang = lang_of(read_object())
    count_make()
    return _made(lead.make(store(), sample_plan(lang), lang))


@blueprint.get("/tours/mine")
@blueprint.doc(**_LEAD, **described(TourSchema, *_LEAD_FAULTS, unchanged=True))
def see_tour() -> Response:
    """Answer everything the educator sees; 304 when If-None-Match has this version."""
    from shelfcheck.tours import lead

    found, key, lang = store(), token(), language()
    return unless_known(lambda: lead.version(found, key, lang), lambda: lead.read(found, key, lang))


@blueprint.put("/tours/mine")
@blueprint.doc(
    **_LEAD,
    **described(
        TourSchema,
        *_BODY_FAULTS,
        HTTPStatus.UNAUTHORIZED,
        body=TourPlanSchema,
        others={HTTPStatus.CONFLICT: ChangedSchema},
    ),
)
def replace_plan() -> Response:
    """Replace the plan that If-Match names by its version; 409 holds the tour when it changed since."""
    from shelfcheck.tours import lead
    from shelfcheck.tours.plan import plan_from_json

    lang = language()
    plan = plan_from_json(read_object(), lang)
    return versioned(lead.replace(store(), token(), plan, has_version, lang))


@blueprint.delete("/tours/mine")
@blueprint.doc(**_LEAD, **described(None, *_LEAD_FAULTS, status=HTTPStatus.NO_CONTENT))
def delete_tour() -> Response:
    """Delete the tour with all that was said in it."""
    from shelfcheck.tours import lead

    lead.delete(store(), token(), language())
    return Response(status=HTTPStatus.NO_CONTENT)


@blueprint.post("/tours/mine/stops/<int:stop>/state")
@blueprint.doc(
    **_LEAD,
    **described(
        TourSchema,
        *_BODY_FAULTS,
        HTTPStatus.UNAUTHORIZED,
        HTTPStatus.NOT_FOUND,
        HTTPStatus.CONFLICT,
        body=StateQuery,
    ),
)
def set_state(stop: int) -> Response:
    """Open, reveal, close or put back a stop; others stay as they are."""
    from shelfcheck.tours import lead

    lang = language()
    state = lead.state_from(read_object().get("state"), lang)
    return versioned(lead.set_state(store(), token(), stop, state, lang))


@blueprint.post("/tours/mine/end")
@blueprint.doc(**_LEAD, **described(TourSchema, *_LEAD_FAULTS))
def end_tour() -> Response:
    """End the tour: its code lets no phone in any more; the report stays."""
    from shelfcheck.tours import lead

    return versioned(lead.end(store(), token(), language()))


@blueprint.post("/tours/mine/copy")
@blueprint.doc(
    **_LEAD, **described(MadeSchema, *_LEAD_FAULTS, HTTPStatus.TOO_MANY_REQUESTS, status=HTTPStatus.CREATED)
)
def copy_tour() -> Any:
    """Make a new tour of the same plan, without anybody's amounts."""
    from shelfcheck.tours import lead

    lead.version(store(), token(), language())  # a dead link makes nothing
    count_make()
    return _made(lead.copy(store(), token(), language()))


@blueprint.post("/tours/mine/link")
@blueprint.doc(**_LEAD, **described(LinkSchema, *_LEAD_FAULTS))
def renew_link() -> dict[str, str]:
    """Answer a new token; the old one opens nothing any more."""
    from shelfcheck.tours import lead

    return {"token": lead.renew_link(store(), token(), language())}


@blueprint.get("/tours/mine/report")
@blueprint.doc(**_LEAD, **described(ReportSchema, *_LEAD_FAULTS))
def see_report() -> dict[str, Any]:
    """Answer the report; no answer in it tells whose it is."""
    from shelfcheck.tours import report

    return report.report_to_json(report.make_report(store(), token(), language()))


@blueprint.get("/tours/mine/report.csv")
@blueprint.doc(**_LEAD, responses=described(ReportSchema, *_LEAD_FAULTS)["responses"] | _CSV)
def see_report_table() -> Response:
    """Answer the report as a table for spreadsheets, in the asker's language."""
    from shelfcheck.tours import report

    lang = language()
    table = report.report_to_csv(report.make_report(store(), token(), lang), lang)
    name = {"Content-Disposition": 'attachment; filename="tour.csv"'}
    return Response(table, content_type="text/csv; charset=utf-8", headers=name)


def _made(made: Made) -> tuple[dict[str, Any], int]:
    return {"token": made.token, "code": made.tour["code"], "tour": made.tour}, HTTPStatus.CREATED
