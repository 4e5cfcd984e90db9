"""A tour to try at once: ``data/sample_tour.json``, in English or Spanish."""

from __future__ import annotations

from typing import Any

from shelfcheck import data
from shelfcheck.tours.plan import TourPlan, plan_from_json
from shelfcheck.words import DEFAULT


def sample_plan(lang: str = DEFAULT) -> TourPlan:
    """Return the sample tour with its words in ``lang``."""
    written = data.load("sample_tour.json")
    parts = ("meal_carbohydrate_g", "show_plan")
    document = {part: written[part] for part in parts} | {
        "title": written["title"][lang],
        "lang": lang,
        "stops": [_stop(stop, lang) for stop in written["stops"]],
    }
    return plan_from_json(document, lang)


def _stop(stop: dict[str, Any], lang: str) -> dict[str, Any]:
    return stop | {part: stop[part][lang] for part in ("name", "question")}
