"""Panels as JSON: read with every fault at once, written by the contract, read back the same."""

import json
from typing import Any

import pytest

from shelfcheck.errors import InvalidInputError
from shelfcheck.panel import MANDATORY, Panel
from shelfcheck.panel_json import panel_from_json, panel_to_json
from shelfcheck.rules import nutrients
from shelfcheck.words import LANGUAGES, say
from tests.making import SAMPLES, panel_json, sample

BARE = {"serving": {}, "nutrients": {}}

FAULTS: dict[str, tuple[dict[str, Any], str, str]] = {
    "an amount in quotes": ({"nutrients": {"fat": "8"}}, "nutrients.fat", "not_a_number"),
    "true for a number": ({"nutrients": {"fat": True}}, "nutrients.fat", "not_a_number"),
    "a list for a number": ({"nutrients": {"fat": {"value": [8]}}}, "nutrients.fat", "not_a_number"),
    "less than nothing": ({"nutrients": {"sodium": -5}}, "nutrients.sodium", "negative"),
    "more than can be": ({"nutrients": {"fat": 1001}}, "nutrients.fat", "too_big"),
    "not a number at all": ({"nutrients": {"fat": float("nan")}}, "nutrients.fat", "too_big"),
    "infinite": ({"nutrients": {"fat": float("inf")}}, "nutrients.fat", "too_big"),
    "400 digits": ({"nutrients": {"energy": 10**400}}, "nutrients.energy", "too_big"),
    "an unknown nutrient": ({"nutrients": {"caffeine": 5}}, "nutrients.caffeine", "unknown_nutrient"),
    "another unit": ({"nutrients": {"fat": {"value": 1, "unit": "mg"}}}, "nutrients.fat.unit", "unit"),
    "an unknown state": ({"nutrients": {"fat": {"value": 1, "state": "ok"}}}, "nutrients.fat.state", "state"),
    "a bad percent": (
        {"nutrients": {"fat": {"value": 1, "percent_dv": "1 %"}}},
        "nutrients.fat.percent_dv",
        "not_a_number",
    ),
    "nutrients as a list": ({"nutrients": []}, "nutrients", "not_an_object"),
    "no serving": ({"serving": None}, "serving", "not_an_object"),
    "0 servings": ({"serving": {"servings_per_container": 0}}, "serving.servings_per_container", "zero"),
    "0 cups": ({"serving": {"household_amount": 0}}, "serving.household_amount", "zero"),
    "a huge serving": ({"serving": {"metric_amount": 5001}}, "serving.metric_amount", "too_big"),
    "a unit by number": ({"serving": {"household_unit": 5}}, "serving.household_unit", "not_a_word"),
    "a long text": ({"serving": {"text": "x" * 81}}, "serving.text", "not_a_word"),
    "ounces as metric": ({"serving": {"metric_unit": "oz"}}, "serving.metric_unit", "metric_unit"),
    "a serving's state": ({"serving": {"pieces": {"value": 1, "state": 1}}}, "serving.pieces.state", "state"),
    "an unknown column": ({"columns": {"per_bite": {}}}, "columns.per_bite", "one_of"),
    "a column as a list": ({"columns": {"as_prepared": []}}, "columns.as_prepared", "not_an_object"),
    "a fault in a column": ({"columns": {"per_unit": {"fat": -1}}}, "columns.per_unit.fat", "negative"),
    "columns as text": ({"columns": "both"}, "columns", "not_an_object"),
    "an unknown form": ({"form": "1890"}, "form", "one_of"),
    "a name by number": ({"name": 7}, "name", "not_a_word"),
    "a food by list": ({"food": ["rice"]}, "food", "not_a_word"),
}


def faults_of(raw: object, lang: str = "en") -> dict[str, str]:
    with pytest.raises(InvalidInputError) as caught:
        panel_from_json(raw, lang)
    return caught.value.fields


@pytest.mark.parametrize(("change", "path", "code"), FAULTS.values(), ids=FAULTS)
def test_each_fault_is_told_by_its_path(change: dict[str, Any], path: str, code: str) -> None:
    for lang in LANGUAGES:
        found = faults_of({**BARE, **change}, lang)

        beginning = str(say(f"fault.{code}", lang)).partition("{")[0]
        assert list(found) == [path]
        assert found[path].startswith(beginning)
        assert "{" not in found[path]


def test_all_faults_are_told_at_once() -> None:
    raw: dict[str, Any] = {"serving": {}, "nutrients": {}, "columns": {}}
    expected = set()
    for change, path, _ in FAULTS.values():
        for part, content in change.items():
            if isinstance(content, dict) and part != "form":
                # the first fault of a field wins; give each field one
                fresh = {key: value for key, value in content.items() if key not in raw[part]}
                if fresh:
                    raw[part] |= fresh
                    expected.add(path)
    raw |= {"form": "1890", "name": 7, "food": ["rice"]}
    expected |= {"form", "name", "food"}

    assert len(expected) > 14
    assert set(faults_of(raw)) == expected


@pytest.mark.parametrize("raw", [None, [], "panel", 5, True])
def test_a_panel_is_an_object(raw: object) -> None:
    assert set(faults_of(raw)) == {"panel", "serving", "nutrients"}


@pytest.mark.parametrize("path", sorted(SAMPLES.glob("*.json")), ids=lambda path: path.stem)
def test_a_sample_read_and_written_is_read_back_the_same(path: Any) -> None:
    panel = panel_from_json(sample(path.stem))

    assert panel_from_json(json.loads(json.dumps(panel_to_json(panel)))) == panel_from_json(
        panel_to_json(panel)
    )
    assert panel_from_json(panel_to_json(panel)).printed() == panel.printed()
    assert panel_from_json(panel_to_json(panel)).serving == panel.serving
    assert panel_from_json(panel_to_json(panel)).columns == panel.columns


def test_bare_numbers_are_sure(granola: Panel) -> None:
    raw = panel_json("0.667 cup/55 g", {"fat": 8})

    assert panel_from_json(raw).nutrients["fat"].state == "sure"
    assert panel_from_json(raw).serving.metric_amount.state == "sure"
    assert panel_from_json(raw).serving.grams() == granola.serving.grams()


def test_units_are_read_as_people_write_them() -> None:
    serving = panel_from_json(panel_json("2 Tablespoon/30 Grams")).serving

    assert serving.household_unit.value == "tbsp"
    assert serving.metric_unit.value == "g"


def test_a_panel_is_written_by_the_contract(granola: Panel) -> None:
    written = panel_to_json(granola)

    assert list(written["nutrients"])[: len(MANDATORY)] == [key for key in nutrients() if key in MANDATORY]
    assert written["nutrients"]["energy"] == {
        "value": 230,
        "unit": "kcal",
        "percent_dv": None,
        "less_than": False,
        "state": "sure",
    }
    assert written["serving"]["servings_per_container"] == {"value": 8, "state": "sure", "about": False}
    assert written["serving"]["text"] == "2/3 cup (55g)"
    assert written["doubts"] == []
    assert written["name"] == "Honey Oat Granola"


def test_what_is_not_printed_is_null_and_missing() -> None:
    written = panel_to_json(panel_from_json(BARE))

    assert set(written["nutrients"]) == set(MANDATORY)
    assert written["nutrients"]["fat"]["value"] is None
    assert written["nutrients"]["fat"]["state"] == "missing"
    assert written["serving"]["metric_amount"] == {"value": None, "state": "missing"}
    assert "name" not in written


def test_a_vitamin_of_1993_has_only_its_percent() -> None:
    calcium = panel_from_json(sample("macaroni_1993")).nutrients["calcium"]

    assert (calcium.value, calcium.percent_dv, calcium.state) == (None, 20, "sure")
