"""Units that people type and our table does not hold ("1 pint", "0.5 lb", "1 kg"), through pint."""

from __future__ import annotations

from functools import cache

import pint


def to_label_unit(count: float, word: str) -> tuple[float, str] | None:
    """Return ``count`` of the unit ``word`` as grams or millilitres, such as ``(473.2, "ml")`` for 1 pint.

    Returns None when ``word`` is not a unit of weight or volume. Volumes are the exact customary ones
    (1 pint = 473.176 mL); only the label's own cup, tbsp, tsp and fl oz are rounded, and those stand
    in ``data/measures.json``.
    """
    if not word.isalpha():
        return None  # pint would reckon it as an expression
    registry = _registry()
    try:
        quantity = registry.Quantity(count, word)
    except (pint.UndefinedUnitError, pint.DefinitionSyntaxError, ValueError, AttributeError):
        return None
    for unit in ("gram", "milliliter"):
        if quantity.is_compatible_with(unit):
            return float(quantity.m_as(unit)), "g" if unit == "gram" else "ml"
    return None


@cache
def _registry() -> pint.UnitRegistry[float]:
    return pint.UnitRegistry(cache_folder=None)
