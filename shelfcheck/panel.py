"""What a Nutrition Facts panel says: ``Panel``, its ``Serving`` and each ``Declared`` amount.

A value carries a state: ``sure`` (may be used as is), ``check`` (a person should look) or ``missing``
(not found or not printed; the value is None). ``panel_json.py`` reads and writes the JSON form.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Literal, NamedTuple

from shelfcheck.numbers import exact_thirds
from shelfcheck.rules import Interval, label_units, nutrients, printed_interval

State = Literal["sure", "check", "missing"]
STATES: tuple[State, ...] = ("sure", "check", "missing")
Form = Literal["2016", "1993"]
Box = tuple[int, int, int, int]
"""Left, top, width and height on the upright photo, in pixels."""

CORE = ("energy", "fat", "sodium", "carbohydrate")
MANDATORY = (
    "energy",
    "fat",
    "saturated_fat",
    "trans_fat",
    "cholesterol",
    "sodium",
    "carbohydrate",
    "fiber",
    "total_sugars",
    "added_sugars",
    "protein",
    "vitamin_d",
    "calcium",
    "iron",
    "potassium",
)
"""What every full panel prints since 2016 (21 CFR 101.9(c)); the JSON form names each, printed or not."""


class Number(NamedTuple):
    """A printed number of the serving line; ``about`` when the print says so."""

    value: float | None = None
    state: State = "missing"
    about: bool = False


class Word(NamedTuple):
    """A printed unit of the serving line, such as ``cup``, ``g`` or ``cracker``."""

    value: str | None = None
    state: State = "missing"


class Serving(NamedTuple):
    """The serving size: a household measure, a metric amount, and how many a container holds.

    ``pieces`` is the count that stands beside another household measure: "1 oz (28g/about 24 pieces)".
    """

    household_amount: Number = Number()
    household_unit: Word = Word()
    metric_amount: Number = Number()
    metric_unit: Word = Word()
    servings_per_container: Number = Number()
    pieces: Number = Number()
    text: str = ""

    def household_ml(self) -> float | None:
        """Return the household measure in label millilitres, or None when it is not a volume."""
        amount = self.household_count()
        each = label_units()["ml"].get(self.household_unit.value or "")
        return amount * each if amount and each else None

    def household_count(self) -> float | None:
        """Return the household amount with thirds in full (0.667 is 2/3)."""
        value = self.household_amount.value
        return exact_thirds(value) if value else None

    def grams(self) -> float | None:
        """Return the weight of one serving in grams: the metric amount, else the household ounces."""
        if self.metric_unit.value == "g":
            return self.metric_amount.value
        each = label_units()["g"].get(self.household_unit.value or "")
        count = self.household_count()
        return count * each if each and count else None

    def milliliters(self) -> float | None:
        """Return one serving in label millilitres: the household measure, else the metric amount."""
        metric = self.metric_amount.value if self.metric_unit.value == "ml" else None
        return self.household_ml() or metric


class Declared(NamedTuple):
    """A nutrient as printed: ``value`` in ``unit`` per serving, its %DV, and whether it says "less than"."""

    value: float | None
    unit: str
    percent_dv: float | None = None
    less_than: bool = False
    state: State = "sure"

    def interval(self, nutrient_id: str) -> Interval:
        """Return the amounts that may be printed so. ``value`` must not be None."""
        if self.value is None:
            message = f"{nutrient_id} has no printed value"
            raise ValueError(message)
        return printed_interval(nutrient_id, self.value, less_than=self.less_than)


class Doubt(NamedTuple):
    """Why a field is not sure: the sentence's key and its parts, and where to look on the photo."""

    field: str
    code: str
    params: Mapping[str, object] = MappingProxyType({})
    box: Box | None = None


class Panel(NamedTuple):
    """A whole panel. ``nutrients`` and each of ``columns`` map nutrient ids to what is printed."""

    serving: Serving
    nutrients: Mapping[str, Declared]
    columns: Mapping[str, Mapping[str, Declared]] = MappingProxyType({})
    doubts: tuple[Doubt, ...] = ()
    form: Form = "2016"
    name: str | None = None
    food: str | None = None

    def value(self, nutrient_id: str) -> float | None:
        """Return the printed amount of a nutrient, or None when it is not printed."""
        declared = self.nutrients.get(nutrient_id)
        return None if declared is None else declared.value

    def printed(self) -> dict[str, Declared]:
        """Return the nutrients that have a printed amount, in the order of a panel."""
        found = ((key, self.nutrients.get(key)) for key in nutrients())
        return {
            key: declared for key, declared in found if declared is not None and declared.value is not None
        }

    def with_doubts(self, doubts: tuple[Doubt, ...]) -> Panel:
        """Return this panel with ``doubts`` added, the fields that they name set to ``check``."""
        panel = self
        for doubt in doubts:
            panel = panel.marked(doubt.field)
        return panel._replace(doubts=panel.doubts + doubts)

    def marked(self, path: str, state: State = "check") -> Panel:
        """Return this panel with the state of the field at ``path`` ("nutrients.sodium") changed.

        A missing field stays missing.
        """
        part, _, key = path.partition(".")
        if part == "serving":
            old = getattr(self.serving, key)
            if old.value is None:
                return self
            return self._replace(serving=self.serving._replace(**{key: old._replace(state=state)}))
        if part == "nutrients" and (declared := self.nutrients.get(key)) and declared.value is not None:
            return self._replace(nutrients={**self.nutrients, key: declared._replace(state=state)})
        return self
