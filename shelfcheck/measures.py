"""Ways to say an amount, and a person's own hands.

Source of every number: ``data/measures.json``.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import cache
from types import MappingProxyType
from typing import Literal, NamedTuple

from shelfcheck import data
from shelfcheck.errors import InvalidInputError, UnknownMeasureError
from shelfcheck.numbers import plain, quadrature, round_half_up
from shelfcheck.words import DEFAULT, say

Dimension = Literal["ml", "g", "pieces", "containers"]
DIMENSIONS: tuple[Dimension, ...] = ("ml", "g", "pieces", "containers")
_TABLE = "measures.json"
_BREADTH = "hand_breadth_mm"
_WATER = "fist_water_ml"


class Way(NamedTuple):
    """What one of a measure holds: ``amount`` in ``dimension``, for some groups of foods or for all."""

    dimension: Dimension
    amount: float
    groups: tuple[str, ...] = ()

    def serves(self, group: str | None) -> bool:
        """Tell whether this way is meant for a food of ``group``."""
        return not self.groups or group in self.groups


class Measure(NamedTuple):
    """A measure of the table; ``kind`` names its uncertainty, ``scales`` whether it grows with the hand.

    ``limits`` are the least and the most that a person's own one can hold, where it does not; ``dry``
    tells that it holds the food as sold, however that is eaten: a bundle of long pasta, a package.
    """

    id: str
    kind: str
    ways: tuple[Way, ...]
    names: dict[str, dict[str, str]]
    say: tuple[str, ...]
    step: float
    scales: bool
    limits: tuple[float, float] | None = None
    dry: bool = False

    @property
    def by_eye(self) -> bool:
        """Whether one judges how much it is: with a hand, or in the own bowl, and always alike."""
        return self.kind in ("hand", "bowl")

    def name(self, count: float, lang: str = DEFAULT) -> str:
        """Return the measure's name for so many of it."""
        return self.names[lang]["one" if 0 < count <= 1 else "other"]


class Hands(NamedTuple):
    """A person's own calibration: the fist in label mL, any other measure by itself, and the own bowl.

    Each number is kept under the name of the measure and its unit, such as ``{"fist_ml": 300.0}``.
    One measured fist scales every other hand measure by geometry: volumes with the ratio of the
    volumes, lengths with its cube root, areas with the square of the cube root.
    """

    measured: Mapping[str, float] = MappingProxyType({})
    fist_u: float | None = None

    @property
    def volume_ratio(self) -> float:
        """This hand's volume over the usual hand's."""
        fist = measures()["fist"].ways[0].amount
        return self.measured.get("fist_ml", fist) / fist

    @property
    def length_ratio(self) -> float:
        """This hand's lengths over the usual hand's."""
        return math.cbrt(self.volume_ratio)

    @property
    def area_ratio(self) -> float:
        """This hand's areas over the usual hand's."""
        return self.length_ratio**2

    def size(self, measure: Measure, way: Way) -> tuple[float, float]:
        """Return what one of ``measure`` holds in this hand, and its relative standard uncertainty."""
        own = self.measured.get(f"{measure.id}_{way.dimension}")
        if own is not None:
            known = uncertainty("own" if measure.scales else f"own_{measure.kind}")
            return own, self.fist_u if measure.id == "fist" and self.fist_u else known
        if measure.scales and "fist_ml" in self.measured:
            return way.amount * self.volume_ratio, max(uncertainty("own_scaled"), self.fist_u or 0.0)
        return way.amount, uncertainty(measure.kind)


def _read_ways(rows: list[dict[str, float | list[str]]]) -> tuple[Way, ...]:
    ways = []
    for row in rows:
        dimension = next(d for d in DIMENSIONS if d in row)
        amount, groups = row[dimension], row.get("for", [])
        if isinstance(amount, (int, float)) and isinstance(groups, list):
            ways.append(Way(dimension, float(amount), tuple(groups)))
    return tuple(ways)


@cache
def measures() -> dict[str, Measure]:
    """Return every measure by its id, hand measures first."""
    return {
        row["id"]: Measure(
            row["id"],
            row["kind"],
            _read_ways(row["ways"]),
            row["name"],
            tuple(row["say"]),
            row["step"],
            row.get("scales") == "volume",
            tuple(row["limits"]) if "limits" in row else None,
            row.get("dry", False),
        )
        for row in data.load(_TABLE)["measures"]
    }


def uncertainty(kind: str) -> float:
    """Return the relative standard uncertainty of a kind of measure ("hand", "spoon", "scale", ...)."""
    return float(data.load(_TABLE)["relative_standard_uncertainty"][kind]["u"])


@cache
def vocabulary() -> dict[str, str]:
    """Return every word that people write for a measure, in lower case, with the measure's id."""
    words: dict[str, str] = {}
    for measure in measures().values():
        names = [form for forms in measure.names.values() for form in forms.values()]
        for word in (measure.id, measure.id.replace("_", " "), *names, *measure.say):
            words[word.lower()] = measure.id
    return words


def find_measure(word: str, lang: str = DEFAULT) -> Measure:
    """Return the measure that ``word`` names.

    Raises:
        UnknownMeasureError: naming the measures there are.
    """
    found = vocabulary().get(word.strip().lower())
    if found is None:
        known = ", ".join(measures())
        message = say("error.unknown_measure", lang, word=word[:40], known=known)
        raise UnknownMeasureError(message, {"amount.measure": message})
    return measures()[found]


def hands_from(given: Mapping[str, object] | None, lang: str = DEFAULT) -> Hands:
    """Return hands from numbers by name: ``fist_ml``, ``hand_breadth_mm``, ``thumb_ml``, ``bowl_ml``, ...

    ``fist_ml`` is what a heap holds that looks as big as the fist. Where it is not given, it follows from
    the water that the fist displaces up to the wrist (``fist_water_ml``), else from the hand's breadth
    across the knuckles, in millimetres, by the cube of the lengths.

    Raises:
        InvalidInputError: one sentence for each number that is unknown or beyond any hand.
    """
    if not given:
        return Hands()
    bounds = _hand_bounds()
    faults: dict[str, str] = {}
    measured: dict[str, float] = {}
    for name, value in given.items():
        low, high = bounds.get(name, (0.0, 0.0))
        if not high:
            known = ", ".join(bounds)
            faults[f"hands.{name}"] = say("fault.hands_name", lang, name=str(name)[:40], known=known)
        elif isinstance(value, bool) or not isinstance(value, (int, float)):
            faults[f"hands.{name}"] = say("fault.not_a_number", lang)
        elif not low <= value <= high:
            faults[f"hands.{name}"] = say(
                "fault.hands_size", lang, low=plain(round_half_up(low)), high=plain(round_half_up(high))
            )
        else:
            measured[name] = float(value)
    if faults:
        raise InvalidInputError(say("error.hands_faults", lang), faults)
    return _with_fist(measured)


def _hand_bounds() -> dict[str, tuple[float, float]]:
    """Return the least and greatest size that each number of a hand can have, by its name."""
    table = data.load(_TABLE)
    usual = {f"{m.id}_{way.dimension}": way.amount for m in measures().values() if m.scales for way in m.ways}
    least, most = (limit / usual["fist_ml"] for limit in table["fist_limits_ml"])
    mean, water = table["hand_breadth"]["mean_mm"], table["fist_in_water"]["mean_ml"]
    bounds = {name: (least * size, most * size) for name, size in usual.items()}
    bounds |= {f"{m.id}_{m.ways[0].dimension}": m.limits for m in measures().values() if m.limits}
    bounds[_BREADTH] = (mean * math.cbrt(least), mean * math.cbrt(most))
    return bounds | {_WATER: (least * water, most * water)}


def _with_fist(given: dict[str, float]) -> Hands:
    """Return hands whose fist is the one given, else follows from the water or from the breadth."""
    table = data.load(_TABLE)
    measured = {name: size for name, size in given.items() if name not in {_BREADTH, _WATER}}
    if "fist_ml" in measured or len(measured) == len(given):
        return Hands(measured)
    if _WATER in given:
        water = table["fist_in_water"]
        ratio, spread = given[_WATER] / water["mean_ml"], water["cv_of_mean"]
    else:
        hand = table["hand_breadth"]
        length = given[_BREADTH] / hand["mean_mm"]
        ratio, spread = length * length * length, hand["cv_of_cube"]
    fist = measures()["fist"].ways[0].amount * ratio
    return Hands({**measured, "fist_ml": fist}, quadrature(uncertainty("own"), spread))
