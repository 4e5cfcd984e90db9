"""Panels and portions made for tests, in few words."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from shelfcheck.amounts import parse_amount
from shelfcheck.foods import find_food
from shelfcheck.panel import Panel
from shelfcheck.panel_json import panel_from_json
from shelfcheck.portion import Portion, build_portion

ROOT = Path(__file__).resolve().parent.parent
SAMPLES = ROOT / "sample_labels"
OUTSIDE = ROOT / "tests" / "outside"


def sample(name: str) -> dict[str, Any]:
    """Return the JSON of a sample label; each call gives a fresh copy."""
    content: dict[str, Any] = json.loads((SAMPLES / f"{name}.json").read_text(encoding="utf-8"))
    return content


def typed_portion() -> bytes:
    """Return the JSON of a request: two fists of the sample cereal."""
    return json.dumps({"panel": sample("fda_sample"), "amount": {"count": 2, "measure": "fist"}}).encode()


def outside(name: str) -> dict[str, Any]:
    """Return the given and expected values of a file of ``tests/outside``."""
    content: dict[str, Any] = json.loads((OUTSIDE / f"{name}.json").read_text(encoding="utf-8"))
    return content


def panel_json(serving: str, nutrients: Mapping[str, Any] | None = None, **more: Any) -> dict[str, Any]:
    """Return a panel's JSON from a serving such as "1 tbsp/15 ml" or "/28 g" and its amounts.

    ``more`` may hold ``pieces``, ``servings_per_container`` and the panel's own parts (``form``, ...).
    """
    household, _, metric = serving.partition("/")
    said: dict[str, Any] = {"text": more.pop("text", "")}
    for part, kind in ((household, "household"), (metric, "metric")):
        if part:
            number, _, unit = part.partition(" ")
            said |= {f"{kind}_amount": float(number), f"{kind}_unit": unit}
    said |= {key: more.pop(key) for key in ("pieces", "servings_per_container") if key in more}
    return {"serving": said, "nutrients": dict(nutrients or {}), **more}


def panel(serving: str, nutrients: Mapping[str, Any] | None = None, **more: Any) -> Panel:
    """Return the panel of ``panel_json``."""
    return panel_from_json(panel_json(serving, nutrients, **more))


def eat(on: Panel | str, amount: str, food: str | None = None, **more: Any) -> Portion:
    """Return the portion of a panel, or of the sample of that name."""
    label = panel_from_json(sample(on)) if isinstance(on, str) else on
    return build_portion(label, parse_amount(amount), find_food(food) if food else None, **more)
