"""The sample tour: in both languages, of the panels of the sample packages."""

import pytest

from shelfcheck import data
from shelfcheck.panel_json import panel_from_json
from shelfcheck.tours.sample import sample_plan
from shelfcheck.words import LANGUAGES
from tests.making import SAMPLES, sample


@pytest.mark.parametrize("lang", LANGUAGES)
def test_the_sample_has_five_stops_in_each_language(lang: str) -> None:
    plan = sample_plan(lang)

    assert plan.lang == lang
    assert len(plan.stops) == 5
    assert all(stop.question.endswith("?") and stop.food for stop in plan.stops)


def test_no_word_of_the_sample_is_left_in_english() -> None:
    english, spanish = sample_plan("en"), sample_plan("es")

    assert english.title != spanish.title
    for one, other in zip(english.stops, spanish.stops, strict=True):
        assert one.name != other.name
        assert one.question != other.question
        assert one.panel == other.panel


def test_the_panels_are_those_of_the_sample_packages() -> None:
    packages = {}
    for path in SAMPLES.glob("*.json"):
        panel = panel_from_json(sample(path.stem))
        packages[panel.serving.text, panel.food] = panel

    for stop in data.load("sample_tour.json")["stops"]:
        panel = panel_from_json(stop["panel"])
        original = packages[panel.serving.text, stop["food"]]
        assert (panel.serving, panel.nutrients) == (original.serving, original.nutrients)
