"""Foods: found by any name, each value with its source."""

from typing import Any

import pytest

from shelfcheck import data
from shelfcheck.errors import UnknownFoodError
from shelfcheck.foods import find_food, food_by_id, foods
from shelfcheck.words import LANGUAGES

ROWS = data.load("foods.json")["foods"]
KNOWN = (
    "read in source",
    "read in a copy",
    "derived",
    "from memory",
    "common practice, no source",
    "judgement",
)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["id"])
def test_each_value_has_its_source_and_how_it_is_known(row: dict[str, Any]) -> None:
    values = [row[part] for part in ("ready", "dry", "cooked", "piece", "yield") if part in row]

    assert values
    for value in values:
        if "g_per_cup" in value and value["g_per_cup"] is None:
            assert value["why"]
        else:
            assert value["source"].strip()
            assert value["how_known"].startswith(KNOWN)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["id"])
def test_each_food_has_a_name_in_both_languages_and_is_found_by_all_its_names(row: dict[str, Any]) -> None:
    aliases = [alias for words in row.get("aliases", {}).values() for alias in words]

    assert set(row["name"]) == set(LANGUAGES)
    for name in (row["id"], *row["name"].values(), *aliases):
        assert find_food(str(name)).id == row["id"]
        assert find_food(f"  {str(name).upper()} ").id == row["id"]


def test_ids_are_unique() -> None:
    assert len({row["id"] for row in ROWS}) == len(ROWS) == len(foods())


@pytest.mark.parametrize(
    ("name", "food"),
    [
        ("rice_white", "rice_white"),
        ("white rice", "rice_white"),
        ("arroz blanco", "rice_white"),
        ("mantequilla de maní", "peanut_butter"),
        ("mantequilla de mani", "peanut_butter"),
        ("ALMENDRAS", "almonds"),
        ("rolled oats", "oats"),
        ("jarabe de arce", "maple_syrup"),
        ("quinoa", "quinoa"),
    ],
)
def test_a_food_is_found_by_id_name_or_alias_in_either_language(name: str, food: str) -> None:
    assert find_food(name).id == food


def test_a_name_that_fits_several_foods_is_answered_with_their_names() -> None:
    with pytest.raises(UnknownFoodError) as caught:
        find_food("cereal")

    assert "bran flakes" in caught.value.message
    assert "granola" in caught.value.message
    assert set(caught.value.fields) == {"food"}


@pytest.mark.parametrize("name", ["unicorn", "", "   ", "x" * 500, "rice\x00"])
def test_an_unknown_food_is_answered_with_what_to_try(name: str) -> None:
    with pytest.raises(UnknownFoodError, match="rice, oats, almonds") as caught:
        find_food(name)

    assert len(caught.value.message) < 200


def test_an_answer_in_spanish_names_the_foods_in_spanish() -> None:
    with pytest.raises(UnknownFoodError, match="hojuelas de salvado"):
        find_food("cereal", "es")


def test_no_id_is_no_food() -> None:
    assert food_by_id("unicorn") is None


def test_a_density_is_the_weight_of_a_cup_over_the_label_cup() -> None:
    almonds = find_food("almonds").density(cooked=False)
    rice = find_food("rice_white")

    assert almonds is not None
    assert almonds.value == 143 / 240  # USDA SR26 NDB 12061: 143 g a cup of whole kernels
    cooked, dry = rice.density(cooked=True), rice.density(cooked=False)
    assert cooked is not None
    assert dry is not None
    assert cooked.value == 158 / 240  # USDA SR26 NDB 20045
    assert dry.value == 185 / 240  # USDA SR26 NDB 20044


def test_only_dry_foods_that_gain_water_swell() -> None:
    swelling = [food for food in foods().values() if food.swells()]

    assert {food.group for food in swelling} == {"cereal", "grain", "pasta", "bean"}
    assert all("dry" in food.densities or food.group == "pasta" for food in swelling)
    assert not find_food("peanut butter").swells()


@pytest.mark.parametrize(
    "food", [food for food in foods().values() if food.swells()], ids=lambda food: food.id
)
def test_cooking_adds_water_as_yields_and_densities_agree(food: object) -> None:
    cooking = foods()[getattr(food, "id", "")]
    gain = cooking.cooked_per_dry

    assert gain is not None
    assert 2 < gain.value < 7
    assert 0.05 <= gain.u < 0.3
    if "dry" in cooking.densities:
        cups = gain.value * cooking.densities["dry"].value / cooking.densities["cooked"].value
        assert 1.4 < cups < 5.5  # a cup of dry food fills one and a half to five cups when cooked


def test_no_food_is_lighter_than_popcorn_or_heavier_than_honey() -> None:
    densities = {food.id: factor.value for food in foods().values() for factor in food.densities.values()}

    assert min(densities, key=densities.__getitem__) == "popcorn_air"
    assert max(densities, key=densities.__getitem__) == "honey"
    assert densities["honey"] < 1.5


def test_the_spread_of_a_density_follows_how_loosely_the_food_fills_a_cup() -> None:
    spread = {name: find_food(name).densities["ready"].u for name in ("milk", "salt", "almonds")}

    assert spread == {"milk": 0.02, "salt": 0.05, "almonds": 0.1}
