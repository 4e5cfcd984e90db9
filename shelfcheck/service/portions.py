"""``POST /api/portions``: a panel and an amount in, the real numbers out."""

from __future__ import annotations

import marshal
from functools import lru_cache
from http import HTTPStatus
from typing import Any

from flask_smorest import Blueprint

from shelfcheck.amount_json import amount_from_json
from shelfcheck.check import refuse
from shelfcheck.errors import gather
from shelfcheck.foods import find_food
from shelfcheck.measures import hands_from
from shelfcheck.panel import Panel
from shelfcheck.panel_json import panel_from_json
from shelfcheck.portion import build_plan, build_portion
from shelfcheck.portion_json import portion_to_json
from shelfcheck.service.body import described, read_body
from shelfcheck.service.language import language
from shelfcheck.service.schemas import PortionQuery, PortionSchema

blueprint = Blueprint("portions", __name__, description="The amount really eaten.")
_QUERY = PortionQuery()
_DOC = described(
    PortionSchema,
    HTTPStatus.BAD_REQUEST,
    HTTPStatus.REQUEST_ENTITY_TOO_LARGE,
    HTTPStatus.UNSUPPORTED_MEDIA_TYPE,
    HTTPStatus.UNPROCESSABLE_ENTITY,
    body=PortionQuery,
)


@blueprint.post("/portions")
@blueprint.doc(**_DOC)
def answer_portion() -> dict[str, Any]:
    """Work out servings and nutrients of an amount, with ranges and the working."""
    query, lang = read_body(_QUERY), language()
    plan = query.get("plan") or {}

    panel, amount, hands, plans = gather(
        lang,
        lambda: _read_panel(marshal.dumps(query["panel"], 2), lang),
        lambda: amount_from_json(query["amount"], lang),
        lambda: hands_from(query.get("hands"), lang),
        lambda: build_plan(plan.get("meal_carbohydrate_g"), plan.get("day_sodium_mg"), lang),
    )
    name = query.get("food") or panel.food
    food = find_food(name, lang) if name else None
    portion = build_portion(
        panel, amount, food, hands=hands, plan=plans, coverage=query["coverage"], lang=lang
    )
    return portion_to_json(portion, lang)


@lru_cache(maxsize=256)
def _read_panel(panel: bytes, lang: str) -> Panel:
    """Return the panel in these bytes, read once while the stepper sends it again with each amount.

    Raises:
        InvalidInputError: with every fault in ``fields``.
    """
    found = panel_from_json(marshal.loads(panel), lang)  # noqa: S302 - bytes of our own
    refuse(found, lang)
    return found
