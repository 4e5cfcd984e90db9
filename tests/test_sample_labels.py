"""The sample labels are lawful panels, and the check that says so catches what is not."""

from collections.abc import Callable
from typing import Any

import pytest

from sample_labels import lawful
from shelfcheck.foods import food_by_id
from shelfcheck.panel_json import panel_from_json
from tests.making import SAMPLES, sample

NAMES = sorted(path.stem for path in SAMPLES.glob("*.json"))

MUTATIONS: dict[str, tuple[str, Callable[[dict[str, Any]], object], str]] = {
    "an amount off its steps": (
        "fda_sample",
        lambda panel: panel["nutrients"]["sodium"].update(value=163),
        "off its rounding steps",
    ),
    "a percent off its steps": (
        "fda_sample",
        lambda panel: panel["nutrients"]["calcium"].update(percent_dv=18),
        "is not a percent that is printed",
    ),
    "a percent of another amount": (
        "fda_sample",
        lambda panel: panel["nutrients"]["sodium"].update(percent_dv=17),
        "may print 7 to 7%, not 17%",
    ),
    "a percent without a Daily Value": (
        "fda_sample",
        lambda panel: panel["nutrients"]["trans_fat"].update(percent_dv=5),
        "has no Daily Value",
    ),
    "calories of another food": (
        "fda_sample",
        lambda panel: panel["nutrients"]["energy"].update(value=330),
        "but 4-4-9 gives",
    ),
    "parts beyond their whole": (
        "fda_sample",
        lambda panel: panel["nutrients"]["total_sugars"].update(value=40),
        "the parts of carbohydrate come to",
    ),
    "servings of another pack": (
        "fda_sample",
        lambda panel: panel["serving"]["servings_per_container"].update(value=6),
        "yet 6 are printed",
    ),
    "neither amount nor percent": (
        "macaroni_1993",
        lambda panel: panel["nutrients"]["iron"].update(percent_dv=None),
        "has neither amount nor percent",
    ),
    "a fault in the second column": (
        "macaroni_mix",
        lambda panel: panel["columns"]["as_prepared"]["energy"].update(value=10),
        "as_prepared: 10 kcal",
    ),
    "a rounded count without about": (
        "cherry_candy",
        lambda panel: panel["serving"]["servings_per_container"].update(about=False),
        'print as "about',
    ),
    "printed and left out at once": (
        "mayonnaise",
        lambda panel: panel["not_significant"].append("energy"),
        "is printed and left out at once",
    ),
}


@pytest.mark.parametrize("name", NAMES)
def test_every_sample_is_a_lawful_panel(name: str) -> None:
    assert lawful.faults(sample(name)) == []


@pytest.mark.parametrize(("name", "change", "sentence"), MUTATIONS.values(), ids=MUTATIONS)
def test_what_no_label_may_print_is_caught(
    name: str, change: Callable[[dict[str, Any]], object], sentence: str
) -> None:
    panel = sample(name)
    change(panel)

    assert any(sentence in fault for fault in lawful.faults(panel))


@pytest.mark.parametrize("name", NAMES)
def test_every_sample_is_a_panel_of_ours_with_its_picture_and_a_food_that_is_known(name: str) -> None:
    panel = panel_from_json(sample(name))

    assert (SAMPLES / f"{name}.png").stat().st_size > 10_000
    assert panel.food is None or food_by_id(panel.food) is not None
    assert panel.name
    assert panel.serving.text


def test_amounts_are_declared_by_the_rules() -> None:
    assert lawful.entry("fat", 8.4, percent_from=8.4) == {
        "value": 8,
        "unit": "g",
        "percent_dv": 11,
        "less_than": False,
        "state": "sure",
    }
    assert lawful.entry("fiber", 0.7)["less_than"] is True
    assert lawful.entry("cholesterol", 3)["less_than"] is True
    assert lawful.entry("fiber", 0.7, words=False)["less_than"] is False
    assert lawful.percent_only("iron", 4)["value"] is None


def test_there_are_samples_of_every_layout() -> None:
    layouts = {sample(name)["layout"] for name in NAMES}

    assert layouts == {
        "standard",
        "side_by_side",
        "tabular",
        "linear",
        "simplified",
        "dual_column",
        "as_prepared",
        "bilingual",
        "spanish_only",
        "form_1993",
    }
