"""Short ways to write a case: a panel, an amount of it, and the question."""

from __future__ import annotations

from typing import Any

Measured = tuple[Any, Any] | None


def panel(household: Measured, metric: Measured, nutrients: dict[str, Any], **more: Any) -> dict[str, Any]:
    """Return a panel's JSON; the serving's other fields and the panel's own are named in ``more``."""
    serving: dict[str, Any] = {}
    for kind, measured in (("household", household), ("metric", metric)):
        if measured:
            serving |= {f"{kind}_amount": measured[0], f"{kind}_unit": measured[1]}
    for key in ("servings_per_container", "pieces", "text"):
        if key in more:
            serving[key] = more.pop(key)
    return {"serving": serving, "nutrients": nutrients, **more}


def case(
    label: dict[str, Any], count: float, measure: str, *, cooked: bool = False, **more: Any
) -> dict[str, Any]:
    """Return the case of eating so much of a label's food; ``more`` is food, hands, plan, coverage, lang."""
    given = {"panel": label, "amount": {"count": count, "measure": measure, "cooked": cooked}}
    usual = {"food": None, "hands": None, "plan": None, "coverage": 1, "lang": "en"}
    return {"ask": "portion", "given": {**given, **usual, **more}}


def check(label: Any, lang: str = "en") -> dict[str, Any]:
    """Return the case of checking a typed label."""
    return {"ask": "check", "given": {"panel": label, "lang": lang}}


def both(name: str, asked: dict[str, Any]) -> list[dict[str, Any]]:
    """Return the case in English and in Spanish."""
    return [
        {"id": f"{name}_{lang}", **asked, "given": {**asked["given"], "lang": lang}} for lang in ("en", "es")
    ]
