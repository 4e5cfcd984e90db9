"""From an amount to label servings: the bridges between what people say and what labels speak.

In this order: the label's own unit; the same dimension on the label (volume, weight, pieces,
packages); the food's density or piece weight; dry to cooked through the food's yield.
"""

from __future__ import annotations

import math
from typing import Literal, NamedTuple

from shelfcheck.amounts import Amount, is_container, label_noun
from shelfcheck.errors import NoBridgeError, UnknownMeasureError
from shelfcheck.foods import Food
from shelfcheck.measures import Hands, find_measure, measures, uncertainty
from shelfcheck.numbers import quadrature
from shelfcheck.panel import Serving
from shelfcheck.rules import label_units, servings_step
from shelfcheck.words import DEFAULT, say

Unit = Literal["ml", "g", "pieces", "containers", "own"]
Via = Literal["measure", "density", "cooked", "piece"]


class Stage(NamedTuple):
    """One of the measure, said in ``unit``; ``via`` tells what led here from the stage before."""

    amount: float
    unit: Unit
    via: Via


class Bridge(NamedTuple):
    """How one of a measure becomes label servings.

    ``stages`` lead to a quantity in the label's own terms; ``serving`` is one label serving in the
    unit of the last stage; ``parts`` are the relative standard uncertainties met on the way.
    """

    stages: tuple[Stage, ...]
    serving: float
    parts: dict[str, float]

    @property
    def servings_per_one(self) -> float:
        """Label servings in one of the measure."""
        return self.stages[-1].amount / self.serving

    @property
    def relative_uncertainty(self) -> float:
        """The parts in quadrature (JCGM 100:2008, 5.1.2: a product of independent quantities)."""
        return quadrature(*self.parts.values())

    def grams_per_one(self) -> float | None:
        """Return the weight of one measure as eaten, where a stage tells it."""
        return next((stage.amount for stage in self.stages if stage.unit == "g"), None)


def build_bridge(
    amount: Amount, serving: Serving, food: Food | None, hands: Hands, lang: str = DEFAULT
) -> Bridge:
    """Return the bridge from one of ``amount``'s measure to servings of the label.

    Raises:
        UnknownMeasureError: when the measure is neither ours nor the label's own unit.
        NoBridgeError: naming the one thing to supply.
    """
    cooked = amount.cooked and not measured_dry(amount.measure)
    if cooked and food is None:
        message = say("error.cooked_food", lang)
        raise NoBridgeError(message, {"food": message})
    swells = food if cooked and food is not None and food.swells() else None
    if swells is None and (own := _own_unit(amount.measure, serving)):
        return own
    for stage, spread in _ways(amount.measure, serving, food, hands, lang):
        for route in (_cooked,) if swells else (_direct, _by_food):
            bridge = route(stage, spread, serving, food)
            if bridge is not None:
                return bridge
    raise _no_bridge(amount, serving, lang)


def measured_dry(measure: str) -> bool:
    """Tell whether a measure holds the food as it is sold, however it is eaten: packages, pieces, bundles."""
    known = measures().get(measure)
    return known is None or known.dry


def _own_unit(measure: str, serving: Serving) -> Bridge | None:
    """Return the bridge for a measure that is the very unit printed on the label."""
    count = serving.household_count()
    unit = label_noun(serving.household_unit.value or "")
    if count is None or unit != measure:
        return None
    known = measures().get(measure)
    kind = known.kind if known else "container" if is_container(measure) else "piece"
    return Bridge((Stage(1.0, "own", "measure"),), count, {"measure": uncertainty(kind)})


def _ways(
    measure: str, serving: Serving, food: Food | None, hands: Hands, lang: str
) -> list[tuple[Stage, dict[str, float]]]:
    """Return what one of the measure holds, each with its uncertainty, the fittest way first."""
    if measure not in measures():
        return [_noun_way(measure, serving, food, lang)]
    known = find_measure(measure, lang)
    group = food.group if food else None
    found = []
    for way in known.ways:
        if way.serves(group):
            size, spread = hands.size(known, way)
            found.append((Stage(size, way.dimension, "measure"), {"measure": spread}))
    return found


def _noun_way(noun: str, serving: Serving, food: Food | None, lang: str) -> tuple[Stage, dict[str, float]]:
    """Return one "can" as one package, and one "cracker" as one piece where a piece is known."""
    if is_container(noun):
        return Stage(1.0, "containers", "measure"), {"measure": uncertainty("container")}
    unit = label_noun(serving.household_unit.value or "")
    if unit == "piece" or serving.pieces.value or (food is not None and food.piece is not None):
        return Stage(1.0, "pieces", "measure"), {"measure": uncertainty("piece")}
    message = say("error.unknown_measure", lang, word=noun[:40], known=", ".join(measures()))
    raise UnknownMeasureError(message, {"amount.measure": message})


def _direct(stage: Stage, parts: dict[str, float], serving: Serving, _food: Food | None) -> Bridge | None:
    """Bridge within one dimension: the label says the same kind of thing."""
    each = _label_size(stage.unit, serving)
    if each is not None:
        return Bridge((stage,), each, parts)
    if stage.unit != "containers":
        return None
    per_container = serving.servings_per_container
    if per_container.value:
        half = servings_step(per_container.value) / 2 if per_container.about else 0.0
        rounding = {"servings": half / per_container.value / math.sqrt(3)}
        return Bridge((stage,), 1 / per_container.value, parts | rounding)
    count = serving.household_count()
    if count and is_container(label_noun(serving.household_unit.value or "")):
        return Bridge((stage,), count, parts)
    return None


def _label_size(unit: Unit, serving: Serving) -> float | None:
    """Return one label serving in ``unit``, or None when the label does not say it."""
    if unit == "ml":
        return serving.milliliters()
    if unit == "g":
        return serving.grams()
    if unit == "pieces":
        return serving.household_count() if _counts_pieces(serving) else serving.pieces.value
    return None


def _counts_pieces(serving: Serving) -> bool:
    unit = label_noun(serving.household_unit.value or "")
    units = label_units()
    return bool(unit) and unit not in units["ml"] and unit not in units["g"] and not is_container(unit)


def _by_food(stage: Stage, parts: dict[str, float], serving: Serving, food: Food | None) -> Bridge | None:
    """Bridge through the food's density or piece weight."""
    if food is None:
        return None
    if stage.unit == "pieces" and food.piece is not None:
        grams = Stage(stage.amount * food.piece.value, "g", "piece")
        parts = parts | {"piece": food.piece.u}
        bridge = _direct(grams, parts, serving, food) or _by_food(grams, parts, serving, food)
        return bridge and Bridge((stage, *bridge.stages), bridge.serving, bridge.parts)
    density = food.density(cooked=False)
    if density is None or stage.unit not in ("ml", "g"):
        return None
    if stage.unit == "ml":
        other = Stage(stage.amount * density.value, "g", "density")
    else:
        other = Stage(stage.amount / density.value, "ml", "density")
    bridge = _direct(other, parts | {"density": density.u}, serving, food)
    return bridge and Bridge((stage, *bridge.stages), bridge.serving, bridge.parts)


def _cooked(stage: Stage, parts: dict[str, float], serving: Serving, food: Food | None) -> Bridge | None:
    """Bridge from an amount as cooked to the dry food that the label speaks of."""
    if food is None or food.cooked_per_dry is None:
        return None
    stages: tuple[Stage, ...] = (stage,)
    if stage.unit == "ml":
        density = food.densities.get("cooked")
        if density is None:
            return None
        stages, parts = (
            (stage, Stage(stage.amount * density.value, "g", "density")),
            parts | {"density": density.u},
        )
    if stages[-1].unit != "g":
        return None
    gain = food.cooked_per_dry
    dry = Stage(stages[-1].amount / gain.value, "g", "cooked")
    parts = parts | {"yield": gain.u}
    bridge = _direct(dry, parts, serving, food) or _by_food(dry, parts, serving, food)
    return bridge and Bridge((*stages, *bridge.stages), bridge.serving, bridge.parts)


def _no_bridge(amount: Amount, serving: Serving, lang: str) -> NoBridgeError:
    """Return the error that names the one thing to supply."""
    if serving.household_count() is None and serving.metric_amount.value is None:
        code, field = "no_bridge_serving", "serving"
    elif amount.measure == "container" or is_container(amount.measure):
        code, field = "no_bridge_container", "serving.servings_per_container"
    else:
        code, field = "no_bridge_food", "food"
    message = say(f"error.{code}", lang, amount=amount.text(lang), serving=serving.text or _said(serving))
    return NoBridgeError(message, {field: message})


def _said(serving: Serving) -> str:
    """Return the serving in the label's own kind of words, for a message."""
    household = _join(serving.household_amount.value, serving.household_unit.value)
    metric = _join(serving.metric_amount.value, serving.metric_unit.value)
    return f"{household} ({metric})" if household and metric else household or metric


def _join(amount: float | None, unit: str | None) -> str:
    return f"{amount:g} {unit or ''}".strip() if amount else ""
