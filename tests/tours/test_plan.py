"""The document an educator writes: read as meant, or refused with every fault by its path."""

from typing import Any

import pytest

from shelfcheck.errors import InvalidInputError
from shelfcheck.panel_json import panel_from_json, panel_to_json
from shelfcheck.tours.plan import plan_from_json
from tests.making import panel_json, sample
from tests.tours.walking import plan_json, stop_json


def faults(raw: dict[str, Any]) -> set[str]:
    with pytest.raises(InvalidInputError) as caught:
        plan_from_json(raw)
    assert not any("{" in sentence for sentence in caught.value.fields.values())
    return set(caught.value.fields)


def test_a_plan_is_read_with_its_foods_and_measures_by_their_ids() -> None:
    plan = plan_from_json(plan_json(stop_json(measure="puños", food="granola"), title="  Shelf \n walk "))

    assert plan.title == "Shelf walk"
    assert (plan.lang, plan.meal_carbohydrate_g, plan.show_plan) == ("en", None, False)
    stop = plan.stops[0]
    assert (stop.id, stop.measure, stop.food) == (None, "fist", "granola")
    panel = {key: sample("fda_sample")[key] for key in ("serving", "nutrients", "food")}
    assert stop.panel == panel_to_json(panel_from_json(panel))


def test_the_food_follows_from_the_panel_and_the_rest_may_be_left_out() -> None:
    plan = plan_from_json({"title": "T", "stops": [{"name": "N", "panel": stop_json()["panel"]}]})

    assert plan.stops[0].food == "granola"
    assert plan.stops[0].measure == "fist"
    assert plan.stops[0].question == ""
    assert plan_from_json({"title": "T"}).stops == ()


def test_the_labels_own_unit_is_a_measure() -> None:
    crackers = panel_json("9 cracker/30 g", {"energy": 140})

    assert (
        plan_from_json(plan_json(stop_json(panel=crackers, measure="Crackers"))).stops[0].measure == "cracker"
    )


@pytest.mark.parametrize(
    ("change", "expected"),
    [
        ({"title": ""}, {"title"}),
        ({"title": None}, {"title"}),
        ({"title": "x" * 81}, {"title"}),
        ({"title": "a\x00b"}, {"title"}),
        ({"title": "\ud800"}, {"title"}),
        ({"lang": "fr"}, {"lang"}),
        ({"lang": ["en"]}, {"lang"}),
        ({"meal_carbohydrate_g": "45"}, {"meal_carbohydrate_g"}),
        ({"meal_carbohydrate_g": 1}, {"meal_carbohydrate_g"}),
        ({"meal_carbohydrate_g": float("nan")}, {"meal_carbohydrate_g"}),
        ({"meal_carbohydrate_g": 10**400}, {"meal_carbohydrate_g"}),
        ({"show_plan": "yes"}, {"show_plan"}),
        ({"stops": {}}, {"stops"}),
        ({"stops": [stop_json()] * 21}, {"stops"}),
        ({"stops": [5]}, {"stops.0"}),
        ({"stops": [stop_json(name="")]}, {"stops.0.name"}),
        ({"stops": [stop_json(question="x" * 201)]}, {"stops.0.question"}),
        ({"stops": [stop_json(question=None)]}, {"stops.0.question"}),
        ({"stops": [stop_json(), stop_json(measure="bucket")]}, {"stops.1.measure"}),
        ({"stops": [stop_json(measure=5)]}, {"stops.0.measure"}),
        ({"stops": [stop_json(food="unicorn")]}, {"stops.0.food"}),
        ({"stops": [stop_json(food=5)]}, {"stops.0.food"}),
        ({"stops": [stop_json(id="1")]}, {"stops.0.id"}),
        ({"stops": [stop_json(id=True)]}, {"stops.0.id"}),
        ({"stops": [stop_json(id=1), stop_json(id=1)]}, {"stops.1.id"}),
        ({"stops": [stop_json(panel=None)]}, {"stops.0.panel"}),
        ({"stops": [stop_json(panel=[])]}, {"stops.0.panel"}),
        ({"stops": [stop_json(panel={})]}, {"stops.0.panel.serving", "stops.0.panel.nutrients"}),
        ({"stops": [stop_json(panel=panel_json("1 cup", {"fat": -1}))]}, {"stops.0.panel.nutrients.fat"}),
        (
            {"stops": [stop_json(panel=panel_json("1 tbsp/15 g", {"fat": 20}))]},
            {"stops.0.panel.nutrients.fat"},
        ),
        ({"stops": [stop_json(panel=panel_json("/28 g"))]}, {"stops.0.food"}),
        ({"stops": [stop_json(panel=panel_json(""))]}, {"stops.0.panel.serving"}),
        ({"stops": [stop_json(price=5)]}, {"stops.0.price"}),
        ({"owner": "me"}, {"owner"}),
    ],
)
def test_what_cannot_be_in_a_plan_is_named_by_its_path(change: dict[str, Any], expected: set[str]) -> None:
    assert faults(plan_json() | change) == expected


def test_all_faults_are_told_at_once() -> None:
    raw = {
        "title": "",
        "lang": "xx",
        "stops": [stop_json(name=""), stop_json(panel=panel_json("0 cup", {"fat": "8"}))],
    }

    assert faults(raw) == {
        "title",
        "lang",
        "stops.0.name",
        "stops.1.panel.serving.household_amount",
        "stops.1.panel.nutrients.fat",
    }


def test_faults_are_told_in_spanish_too() -> None:
    with pytest.raises(InvalidInputError, match="Corrija") as caught:
        plan_from_json(plan_json(stop_json(), title=""), "es")
    assert caught.value.fields["title"].startswith("Escriba")
