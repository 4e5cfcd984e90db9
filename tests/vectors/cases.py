"""Cases for every bridge, every error and every odd line of a label, by the file that keeps them."""

from __future__ import annotations

from typing import Any

from tests.vectors.build import both, case, check, panel
from tests.vectors.worked import MACARONI_1993, SAMPLE_PANEL, worked

Cases = list[dict[str, Any]]

_CORE = {"energy": 150, "fat": 2.5, "sodium": 140, "carbohydrate": 27, "protein": 5}
_BY_CUP = panel((0.5, "cup"), (40, "g"), _CORE, servings_per_container={"value": 30, "about": True})
_CRACKERS = panel((5, "crackers"), (16, "g"), {"energy": 70, "sodium": 135}, text="5 crackers (16g)")
_ALMONDS = panel((1, "oz"), (28, "g"), {"energy": 170}, pieces={"value": 24, "about": True})
_CAN = panel((1, "can"), (355, "ml"), {"energy": 140, "carbohydrate": 39, "sodium": 45})
_BOTTLE = panel((8, "fl oz"), (240, "ml"), {"energy": 110, "carbohydrate": 26}, servings_per_container=2.5)
_BY_WEIGHT = panel(None, (30, "g"), {"energy": 120, "sodium": 0})
_RICE_BY_CUP = panel((0.25, "cup"), None, {"energy": 160, "carbohydrate": 36})


def vectors() -> dict[str, Cases]:
    """Return every vector without its expected answer, by the name of its file."""
    return {
        "worked": worked(),
        "bridges": _bridges(),
        "languages": _languages(),
        "labels": _named(_labels()),
        "hands_and_plans": _named(_hands_and_plans()),
        "errors": _errors(),
        "checks": _checks(),
    }


def _named(cases: dict[str, dict[str, Any]]) -> Cases:
    return [{"id": name, **asked} for name, asked in cases.items()]


def _bridges() -> Cases:
    """Return a case for each bridge, with the servings by plain arithmetic on the values of the data files.

    Almonds weigh 143 g a cup and 1.233 g each, granola 122 g a cup, saltines 3 g each; rice 185 g a cup
    dry and 158 g cooked, 2.82 g from 1 g dry; oats 234 g a cup cooked, 5.47 g from 1 g dry.
    """
    rice: dict[str, Any] = {"food": "rice_white", "cooked": True}
    oats: dict[str, Any] = {"food": "oats", "cooked": True}
    by_ounce, by_cup = panel((1, "oz"), None, {"energy": 110}), panel((1, "cup"), None, _CORE)
    told = {
        "own_unit_of_pieces": (case(_CRACKERS, 8, "cracker"), 8 / 5),
        "own_unit_in_the_plural": (case(_CRACKERS, 8, "Crackers"), 8 / 5),
        "own_unit_of_a_package": (case(_CAN, 1.5, "can"), 1.5),
        "own_unit_that_is_a_measure": (case(_BY_CUP, 0.75, "cup"), 0.75 / 0.5),
        "volume_to_volume": (case(_BY_CUP, 2, "thumb"), 30 / 120),
        "volume_by_other_words": (case(_BY_CUP, 1, "handful"), 120 / 120),
        "volume_to_metric_volume": (case(_CAN, 1, "fist"), 240 / 355),
        "ounces_to_grams": (case(_BY_WEIGHT, 1.5, "oz"), 42 / 30),
        "grams_to_household_ounces": (case(by_ounce, 40, "g"), 40 / 28),
        "pieces_to_pieces": (case(_CRACKERS, 3, "piece"), 3 / 5),
        "pieces_beside_a_weight": (case(_ALMONDS, 12, "almond"), 12 / 24),
        "whole_package": (case(_BOTTLE, 1, "container"), 2.5),
        "whole_package_about": (case(_BY_CUP, 1, "container"), 30),
        "package_named_by_another_word": (case(_BOTTLE, 0.5, "bottle"), 1.25),
        "package_on_the_household_line": (case(_CAN, 2, "container"), 2),
        "density_to_weight": (case(_BY_WEIGHT, 1, "cupped_hand", food="almonds"), 143 / 2 / 30),
        "density_to_volume": (case(_RICE_BY_CUP, 100, "g", food="rice_white"), 100 / 185 / 0.25),
        "density_of_the_panels_own_food": (case(_BY_WEIGHT | {"food": "granola"}, 1, "fist"), 122 / 30),
        "piece_weight": (case(_BY_WEIGHT, 3, "piece", food="saltines"), 3 * 3 / 30),
        "piece_weight_to_volume": (case(by_cup, 24, "piece", food="almonds"), 24 * 1.233 / 143),
        "second_way_of_a_measure": (case(_CAN, 1, "flat_palm"), 81 / 355),
        "cooked_volume_to_dry_weight": (case(_BY_CUP, 1, "fist", **oats), 234 / 5.47 / 40),
        "cooked_weight_to_dry_weight": (case(_BY_CUP, 200, "g", **oats), 200 / 5.47 / 40),
        "cooked_volume_to_dry_volume": (case(_RICE_BY_CUP, 1, "fist", **rice), 158 / 2.82 / 185 / 0.25),
        "cooked_that_does_not_swell": (case(_BY_WEIGHT, 1, "fist", food="almonds", cooked=True), 143 / 30),
        "dry_food_by_hand": (case(_BY_CUP, 1, "fist", food="oats"), 240 / 120),
    }
    return [
        {
            "id": name,
            **asked,
            "worked": {"servings.value": {"from": servings - 0.005, "to": servings + 0.005}},
        }
        for name, (asked, servings) in told.items()
    ]


def _languages() -> Cases:
    told = {
        "working_of_a_volume": case(SAMPLE_PANEL, 2, "fist", plan={"meal_carbohydrate_g": 45}),
        "working_of_one": case(SAMPLE_PANEL, 0.5, "cupped_hand"),
        "working_of_a_density": case(_BY_WEIGHT, 1.5, "palmful", food="raisins"),
        "working_of_pieces": case(_BY_WEIGHT, 1, "piece", food="saltines"),
        "working_of_packages": case(_BOTTLE, 1.5, "container", coverage=2),
        "working_of_cooking": case(_BY_CUP, 1, "fist", food="oats", cooked=True, coverage=2),
        "working_of_a_bundle": case(panel((2, "oz"), (56, "g"), _CORE), 4, "bundle", food="spaghetti"),
        "working_of_an_own_unit": case(_CRACKERS, 7, "cracker"),
    }
    return [vector for name, asked in told.items() for vector in both(name, asked)]


def _labels() -> dict[str, dict[str, Any]]:
    zeros = dict.fromkeys(("energy", "fat", "trans_fat", "sodium", "carbohydrate", "added_sugars"), 0)
    unsure_cup = {"value": "cup", "state": "check"}
    unsure = {"value": 140, "unit": "mg", "state": "check"}
    less = {"value": 1, "less_than": True, "unit": "g"}
    prepared = {"columns": {"as_prepared": {"energy": 380, "sodium": {"value": 750, "percent_dv": 33}}}}
    whole = {"columns": {"per_container": {"energy": 210, "fat": 5, "sodium": 1490}}}
    soup = panel((1, "cup"), (248, "g"), {"energy": 90, "fat": 2, "sodium": 620, "carbohydrate": 12}, **whole)
    soup["serving"]["servings_per_container"] = {"value": 2, "about": True}
    macaroni = panel((1, "cup"), (70, "g"), {"energy": 250, "fat": 2, "sodium": 560}, **prepared)
    return {
        "every_zero": case(panel((1, "tbsp"), (15, "ml"), zeros), 3, "thumb"),
        "every_zero_below_two_servings": case(panel((1, "tbsp"), (15, "ml"), zeros), 1.9, "tbsp"),
        "less_than_a_gram": case(panel((1, "cup"), None, {"fiber": less, "protein": less}), 3, "cup"),
        "less_than_5_mg": case(
            panel((1, "cup"), None, {"cholesterol": {"value": 5, "less_than": True}}), 2, "fist"
        ),
        "as_prepared": case(macaroni, 1, "fist", food="macaroni", cooked=True),
        "per_container": case(soup, 1.5, "container"),
        "per_container_by_the_cup": case(soup, 2, "cup"),
        "as_packaged": case(macaroni, 1, "fist", food="macaroni"),
        "form_of_1993": case(MACARONI_1993, 1.5, "fist"),
        "unsure_fields": case(panel((0.5, unsure_cup), None, {"sodium": unsure}), 1, "cup"),
        "thirds_cut_short": case(panel((0.33, "cup"), (40, "g"), _CORE), 1 / 3, "cup"),
        "a_tie": case(panel((1, "cup"), None, {"fat": 0.5, "potassium": 235, "iron": 0.9}), 0.5, "cup"),
        "an_amount_off_its_grid": case(panel((1, "cup"), None, {"energy": 233, "fat": 7.3}), 1, "cup"),
        "a_very_small_amount": case(SAMPLE_PANEL, 0.0000005, "tsp"),
        "a_very_large_amount": case(SAMPLE_PANEL, 10000, "container"),
        "nothing_printed": case(panel((1, "cup"), None, {}), 1, "cup"),
    }


def _hands_and_plans() -> dict[str, dict[str, Any]]:
    return {
        "own_fist": case(SAMPLE_PANEL, 2, "fist", hands={"fist_ml": 300}),
        "own_fist_scales_the_thumb": case(SAMPLE_PANEL, 2, "thumb", hands={"fist_ml": 180}),
        "own_thumb": case(SAMPLE_PANEL, 2, "thumb", hands={"thumb_ml": 20, "fist_ml": 300}),
        "own_palmful_of_nuts": case(_ALMONDS, 1, "palmful", food="almonds", hands={"palmful_g": 40}),
        "hand_breadth": case(SAMPLE_PANEL, 2, "fist", hands={"hand_breadth_mm": 90}),
        "hand_breadth_scales_the_palm": case(_BY_WEIGHT, 1, "flat_palm", hands={"hand_breadth_mm": 75.5}),
        "fist_in_water": case(SAMPLE_PANEL, 2, "fist", hands={"fist_water_ml": 500}),
        "fist_in_water_beats_the_breadth": case(
            SAMPLE_PANEL, 2, "thumb", hands={"fist_water_ml": 350, "hand_breadth_mm": 90}
        ),
        "a_usual_bowl": case(SAMPLE_PANEL, 1.5, "bowl", hands={"fist_ml": 300}),
        "own_bowl": case(SAMPLE_PANEL, 1, "bowl", hands={"bowl_ml": 600}, lang="es"),
        "own_bowl_of_cooked_rice": case(
            _RICE_BY_CUP, 1, "bowl", food="rice_white", cooked=True, hands={"bowl_ml": 500}
        ),
        "own_hands_do_not_change_a_cup": case(SAMPLE_PANEL, 2, "cup", hands={"fist_ml": 300}),
        "plan": case(SAMPLE_PANEL, 2, "fist", plan={"meal_carbohydrate_g": 45, "day_sodium_mg": 1500}),
        "plan_of_sodium_alone": case(SAMPLE_PANEL, 1, "fist", plan={"day_sodium_mg": 2000.5}),
        "coverage_2": case(SAMPLE_PANEL, 2, "fist", coverage=2),
        "coverage_2_never_below_0": case(
            _RICE_BY_CUP, 1, "fist", food="rice_white", cooked=True, coverage=2, hands={"hand_breadth_mm": 60}
        ),
    }


def _errors() -> Cases:
    hands = {"fist_ml": 3000, "foot_ml": 1, "thumb_ml": "big"}
    plan = {"meal_carbohydrate_g": 1, "day_sodium_mg": 90000}
    told = {
        "no_bridge_without_the_food": case(_BY_WEIGHT, 1.5, "fist"),
        "no_bridge_without_a_serving": case(panel(None, None, _CORE), 1, "fist"),
        "no_bridge_without_servings_per_container": case(_CRACKERS, 1, "container"),
        "no_bridge_cooked_without_the_food": case(_BY_CUP, 1, "fist", cooked=True),
        "unknown_measure": case(SAMPLE_PANEL, 1, "wing"),
        "bad_amount_of_nothing": case(SAMPLE_PANEL, 0, "fist"),
        "bad_amount_beyond_reason": case(SAMPLE_PANEL, 10001, "fist"),
        "unknown_food": case(SAMPLE_PANEL, 1, "fist", food="granite"),
        "several_foods": case(SAMPLE_PANEL, 1, "fist", food="white"),
        "hands_that_cannot_be": case(SAMPLE_PANEL, 1, "fist", hands=hands),
        "plan_that_cannot_be": case(SAMPLE_PANEL, 1, "fist", plan=plan),
        "several_faults_at_once": case(
            panel((0, "cup"), None, {"fat": -1}), 0, "fist", hands={"fist_ml": 1}, plan={"day_sodium_mg": 1}
        ),
        "panel_heavier_than_its_serving": case(
            panel((1, "oz"), (28, "g"), {"fat": 20, "carbohydrate": 20}), 1, "oz"
        ),
    }
    return [vector for name, asked in told.items() for vector in both(name, asked)]


def _checks() -> Cases:
    faulty = {
        "serving": {"household_amount": "2/3", "metric_amount": 9000, "metric_unit": "lb", "text": 5},
        "nutrients": {
            "fat": {"value": 2, "unit": "mg"},
            "sodium": -3,
            "salt": 1,
            "iron": {"value": 1, "state": "ok"},
        },
        "columns": {"per_person": {}},
        "form": "2030",
    }
    doubtful = {
        "energy": 300,
        "fat": {"value": 8.3, "percent_dv": 40},
        "saturated_fat": 9,
        "carbohydrate": 20,
        "protein": 3,
        "sodium": {"value": 163, "percent_dv": 7},
        "potassium": {"value": 235, "percent_dv": 20},
    }
    told = {
        "plausible": check(SAMPLE_PANEL),
        "form_of_1993": check(MACARONI_1993 | {"name": "Macaroni & cheese", "food": "macaroni"}),
        "doubtful": check(panel((1, "cup"), (400, "g"), doubtful)),
        "doubtful_volume": check(panel((1, "tbsp"), (30, "ml"), {"energy": 10})),
        "heavier_than_its_serving": check(panel((1, "tbsp"), None, {"fat": 14, "carbohydrate": 12})),
        "faulty": check(faulty),
        "not_a_panel": check([1, 2]),
        "empty": check({"serving": {}, "nutrients": {}}),
    }
    return [vector for name, asked in told.items() for vector in both(name, asked)]
