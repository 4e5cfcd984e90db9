"""What the API knows by itself: measures, foods, and whether it is well."""

from __future__ import annotations

from functools import cache
from http import HTTPStatus
from typing import Any

from flask import Response, current_app, jsonify
from flask_smorest import Blueprint

from shelfcheck import __version__
from shelfcheck.foods import foods
from shelfcheck.measures import measures, uncertainty
from shelfcheck.service.body import described
from shelfcheck.service.parts import readers_of
from shelfcheck.service.problems import RETRY_SECONDS
from shelfcheck.service.schemas import FoodsSchema, HealthSchema, MeasuresSchema, ReadySchema
from shelfcheck.service.tour_access import EXTENSION as TOURS

_DATABASE_SECONDS = 2.0
"""Longest wait for the database's answer; who asks whether all is well asks often. Judgement."""

blueprint = Blueprint("reference", __name__, description="What can be said and asked.")


@blueprint.get("/health")
@blueprint.doc(**described(HealthSchema))
def health() -> dict[str, str]:
    """Say that the service is up, whatever it stands on."""
    return {"status": "ok", "version": __version__}


@blueprint.get("/ready")
@blueprint.doc(**described(ReadySchema, others={HTTPStatus.SERVICE_UNAVAILABLE: ReadySchema}))
def ready() -> Response:
    """Say whether tours and photos are answered too; a typed label always is."""
    opener = current_app.extensions[TOURS]
    readers = readers_of(current_app)
    parts = {
        "database": opener.answers(_DATABASE_SECONDS),
        "readers": readers is None or readers.ready(),
    }
    well = all(parts.values())
    said = {"status": "ok" if well else "not_ready"}
    response = jsonify(said | {part: "ok" if is_ready else "down" for part, is_ready in parts.items()})
    if not well:
        response.status_code = HTTPStatus.SERVICE_UNAVAILABLE
        response.headers["Retry-After"] = RETRY_SECONDS
    return response


@blueprint.get("/measures")
@blueprint.doc(**described(MeasuresSchema))
@cache
def list_measures() -> dict[str, Any]:
    """List the hand and kitchen measures, what each holds and how surely."""
    return {
        "measures": [
            {
                "id": measure.id,
                "kind": measure.kind,
                "name": measure.names,
                "holds": [
                    {"amount": way.amount, "unit": way.dimension, "for": list(way.groups)}
                    for way in measure.ways
                ],
                "step": measure.step,
                "scales_with_hand": measure.scales,
                "relative_standard_uncertainty": uncertainty(measure.kind),
            }
            for measure in measures().values()
        ]
    }


@blueprint.get("/foods")
@blueprint.doc(**described(FoodsSchema))
@cache
def list_foods() -> dict[str, Any]:
    """List the foods with weights: grams per label mL by state, grams per piece, cooked per dry."""
    return {
        "foods": [
            {
                "id": food.id,
                "name": food.names,
                "group": food.group,
                "g_per_ml": {state: round(factor.value, 4) for state, factor in food.densities.items()},
                "g_per_piece": food.piece.value if food.piece else None,
                "cooked_per_dry": food.cooked_per_dry.value if food.cooked_per_dry else None,
            }
            for food in foods().values()
        ]
    }
