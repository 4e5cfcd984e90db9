"""The samples from stored words, and how proof and contradiction decide a field's state."""

from collections.abc import Callable
from dataclasses import replace
from random import Random

import pytest

from shelfcheck.panel import Declared, Panel
from shelfcheck.panel_json import panel_to_json
from shelfcheck.reading.candidates import find_fields
from shelfcheck.reading.page import Word
from shelfcheck.reading.reconcile import reconcile
from shelfcheck.reading.rows import Line, Page
from shelfcheck.reading.servings import find_serving
from tests.making import sample
from tests.reading.judging import counts, judge
from tests.reading.replay import NAMES, panel_of, stored_words

FEWEST_RIGHT = 0.94
"""At most one field of a sample may be left to a person."""


def word(text: str, confidence: float = 0.95, also: str | None = None) -> Word:
    return Word(text, (100, 0, 40, 20), confidence, None, -1, also)


def panel(**said: str | Word) -> Panel:
    """Return the panel of nutrients by name, each with its print, such as ``fat="8g 10%"``."""
    lines = [
        Line(key, (word(key),), (), ((text,) if isinstance(text, Word) else tuple(map(word, text.split())),))
        for key, text in said.items()
    ]
    page = Page(tuple(lines))
    return reconcile(find_fields(page), find_serving(page))


def field(made: Panel, key: str) -> Declared:
    return made.nutrients[key]


def codes(made: Panel, key: str) -> set[str]:
    return {doubt.code for doubt in made.doubts if doubt.field == f"nutrients.{key}"}


@pytest.mark.parametrize("name", NAMES)
def test_a_sample_is_read_right_and_nothing_is_wrong_in_silence(name: str) -> None:
    true = sample(name)
    verdicts = list(judge(true, panel_to_json(panel_of(stored_words(name)))))
    count = counts(verdicts)

    assert [verdict for verdict in verdicts if verdict.kind == "silent"] == []
    assert count["right"] >= FEWEST_RIGHT * count["printed"]
    assert count["core_exact"] == count["core"]


def test_a_doubt_says_where_to_look() -> None:
    made = panel_of([replace(found, confidence=0.2) for found in stored_words("fda_sample")])

    assert all(declared.state == "check" for declared in made.nutrients.values())
    assert all(doubt.box for doubt in made.doubts)


def test_clean_print_is_sure() -> None:
    assert field(panel(fat="8g 10%"), "fat") == Declared(8, "g", 10, less_than=False, state="sure")


def test_a_percent_proves_what_a_slip_left_open() -> None:
    made = panel(saturated_fat="4.59 23%")

    assert field(made, "saturated_fat") == Declared(4.5, "g", 23, less_than=False, state="sure")


def test_a_lost_point_is_put_back_where_the_percent_proves_it() -> None:
    made = panel(fat="25g 3%")

    assert field(made, "fat") == Declared(2.5, "g", 3, less_than=False, state="sure")


def test_a_value_that_its_percent_contradicts_is_not_sure() -> None:
    made = panel(sodium="160mg 30%")

    assert field(made, "sodium").state == "check"


@pytest.mark.parametrize(
    ("key", "text"),
    [
        ("protein", word("3g", 0.4)),
        ("protein", word("8g", also="3g")),
        ("protein", word("3")),
        ("energy", word("155")),
        ("trans_fat", word("0.3g")),
    ],
)
def test_weak_print_without_proof_is_to_be_checked(key: str, text: Word) -> None:
    made = panel(**{key: text})

    assert field(made, key).state == "check"
    assert codes(made, key)


def test_a_line_without_a_readable_amount_is_missing_with_a_doubt() -> None:
    made = panel(protein="##", fat="8g 10%")

    assert field(made, "protein") == Declared(None, "g", None, less_than=False, state="missing")
    assert codes(made, "protein") == {"unread"}


def test_an_amount_whose_percent_was_not_read_is_to_be_checked() -> None:
    assert codes(panel(sodium="160mg"), "sodium") == {"percent_unread"}


def test_a_core_amount_that_was_not_found_is_said() -> None:
    assert codes(panel(fat="8g 10%"), "sodium") == {"not_found"}


def test_parts_above_their_total_are_not_sure() -> None:
    made = panel(total_sugars="3g", added_sugars="13g 26%")

    assert field(made, "added_sugars").state == "check"


def test_calories_that_do_not_fit_are_not_sure() -> None:
    made = panel(energy="530", fat="8g 10%", carbohydrate="37g 13%", protein="3g")

    assert field(made, "energy").state == "check"


def test_the_form_of_1993_prints_vitamins_by_percent_alone() -> None:
    made = panel(energy="250", energy_from_fat="110", vitamin_a="4%", fat="12g 18%")

    assert made.form == "1993"
    assert field(made, "vitamin_a") == Declared(None, "mcg", 4, less_than=False, state="sure")
    assert field(made, "fat").state == "sure"


def test_a_percent_that_is_never_printed_is_to_be_checked() -> None:
    assert field(panel(energy_from_fat="110", vitamin_a="3%"), "vitamin_a").state == "check"


def test_a_column_per_container_is_held_against_the_servings() -> None:
    lines = (
        Line("servings", (word("servings"),), (word("3"),), ((),)),
        Line("protein", (word("Protein"),), (), ((word("1g"),), (word("21g"),))),
        Line("total_sugars", (word("Sugars"),), (), ((word("7g"),), (word("21g"),))),
    )
    page = Page(lines, ("per_container",))
    made = reconcile(find_fields(page), find_serving(page))

    assert field(made, "protein").state == "check"
    assert made.columns["per_container"]["protein"].state == "check"
    assert field(made, "total_sugars").state == made.columns["per_container"]["total_sugars"].state == "sure"


def _one_figure_wrong(rng: Random, words: list[Word]) -> tuple[list[Word], int]:
    places = [at for at, found in enumerate(words) if any(letter.isdigit() for letter in found.text)]
    at = rng.choice(places)
    figures = [place for place, letter in enumerate(words[at].text) if letter.isdigit()]
    place = rng.choice(figures)
    other = rng.choice([figure for figure in "0123456789" if figure != words[at].text[place]])
    text = words[at].text[:place] + other + words[at].text[place + 1 :]
    return [*words[:at], replace(words[at], text=text, also=words[at].text), *words[at + 1 :]], at


def _one_word_lost(rng: Random, words: list[Word]) -> tuple[list[Word], int]:
    # Nothing on the label tells that an "about" was there.
    at = rng.choice(
        [at for at, found in enumerate(words) if not found.text.lower().startswith(("about", "aprox"))]
    )
    return words[:at] + words[at + 1 :], at


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("spoil", [_one_figure_wrong, _one_word_lost])
def test_spoiled_words_make_no_silent_error(
    name: str, spoil: Callable[[Random, list[Word]], tuple[list[Word], int]]
) -> None:
    """A figure that one of two looks got wrong, or a word that was not seen, must not come out as sure."""
    rng = Random(f"{name} {spoil.__name__}")
    true = sample(name)
    for _ in range(5):
        words, at = spoil(rng, stored_words(name))
        verdicts = judge(true, panel_to_json(panel_of(words)))
        silent = [verdict for verdict in verdicts if verdict.kind == "silent"]

        assert silent == [], (silent, stored_words(name)[at])
