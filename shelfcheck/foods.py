"""Foods by household measure: grams per cup, grams per piece, and what dry food gains when cooked.

Source of every number: ``data/foods.json``. A cup is a cup: a weight per handbook cup is taken per
240 mL label cup; the 1.4 % between them is inside the density's uncertainty.
"""

from __future__ import annotations

import unicodedata
from functools import cache
from typing import Any, NamedTuple

from shelfcheck import data
from shelfcheck.errors import UnknownFoodError
from shelfcheck.rules import label_units
from shelfcheck.words import DEFAULT, say

_TABLE = "foods.json"
_SHOWN = 6


class Factor(NamedTuple):
    """A number of a food's table with its relative standard uncertainty."""

    value: float
    u: float


class Food(NamedTuple):
    """A food's weights. ``densities`` are in g per label mL by state: ``ready``, ``dry``, ``cooked``."""

    id: str
    names: dict[str, str]
    group: str
    densities: dict[str, Factor]
    piece: Factor | None
    cooked_per_dry: Factor | None
    rule: dict[str, str] | None

    def density(self, *, cooked: bool) -> Factor | None:
        """Return grams per label mL as eaten: cooked, or as it stands on the shelf."""
        if cooked and "cooked" in self.densities:
            return self.densities["cooked"]
        return self.densities.get("ready") or self.densities.get("dry") or self.densities.get("cooked")

    def swells(self) -> bool:
        """Tell whether a dry amount and a cooked one differ, so that a person must say which."""
        return self.cooked_per_dry is not None


def _food(row: dict[str, Any]) -> Food:
    table = data.load(_TABLE)
    cup, spread = label_units()["ml"]["cup"], table["density_u"][row["texture"]]
    states = {state: row[state]["g_per_cup"] for state in ("ready", "dry", "cooked") if state in row}
    gain = row.get("yield")
    return Food(
        row["id"],
        row["name"],
        row["group"],
        {state: Factor(grams / cup, spread) for state, grams in states.items() if grams},
        Factor(row["piece"]["g"], spread) if "piece" in row else None,
        Factor(gain["g_per_g"], gain["u"]) if gain else None,
        gain.get("rule") if gain else None,
    )


@cache
def food_by_id(food_id: str) -> Food | None:
    """Return the food with this id, or None; one food alone is quick to build."""
    row = _rows().get(food_id)
    return None if row is None else _food(row)


@cache
def foods() -> dict[str, Food]:
    """Return every food by its id."""
    return {food_id: _food(row) for food_id, row in _rows().items()}


def find_food(name: str, lang: str = DEFAULT) -> Food:
    """Return the food called ``name``: by id, name or alias in either language, else by its words.

    Raises:
        UnknownFoodError: when no food or several foods fit, with the nearest names.
    """
    found = food_by_id(name)
    if found is not None:
        return found
    wanted = _fold(name)
    near = {_index()[wanted]} if wanted in _index() else _with_words(set(wanted.split()))
    candidates = [food for food in map(food_by_id, sorted(near)) if food is not None]
    if len(candidates) == 1:
        return candidates[0]
    shown = ", ".join(food.names[lang] for food in candidates[:_SHOWN])
    message = say(
        "error.food_several" if candidates else "error.food_unknown", lang, name=name[:40], shown=shown
    )
    raise UnknownFoodError(message, {"food": message})


def _with_words(words: set[str]) -> set[str]:
    """Return the ids of the foods that have a name with all of ``words`` in it."""
    return {food for known, food in _index().items() if words and words <= set(known.split())}


@cache
def _rows() -> dict[str, dict[str, Any]]:
    return {row["id"]: row for row in data.load(_TABLE)["foods"]}


@cache
def _index() -> dict[str, str]:
    index = {}
    for row in data.load(_TABLE)["foods"]:
        aliases = [alias for words in row.get("aliases", {}).values() for alias in words]
        for known in (row["id"].replace("_", " "), *row["name"].values(), *aliases):
            index[_fold(known)] = row["id"]
    return index


def _fold(text: str) -> str:
    """Return ``text`` in lower case without accents, underscores or outer blanks."""
    plain = unicodedata.normalize("NFD", text.replace("_", " ").lower())
    return " ".join("".join(c for c in plain if not unicodedata.combining(c)).split())
