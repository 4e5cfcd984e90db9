"""Serving sizes and servings per container, as labels print them and engines misread them."""

import pytest

from shelfcheck.reading.bars import LIKELY
from shelfcheck.reading.page import Word
from shelfcheck.reading.rows import Line, Page
from shelfcheck.reading.servings import Read, ServingFields, find_serving


def words(text: str) -> tuple[Word, ...]:
    return tuple(Word(word, (20 * at, 0, 18, 20), 0.95) for at, word in enumerate(text.split()))


def read(size: str, before: str = "8", after: str = "") -> ServingFields:
    lines = (
        Line("serving_size", words("Serving size"), (), (words(size),)),
        Line("servings", words("servings per container"), words(before), (words(after),)),
    )
    return find_serving(Page(lines))


def value(found: Read | None) -> float | str | None:
    return found.value if found else None


@pytest.mark.parametrize(
    ("text", "amount", "unit", "metric", "metric_unit", "pieces"),
    [
        ("2/3 cup (55g)", 0.667, "cup", 55, "g", None),
        ("1 1/2 cups (90g)", 1.5, "cup", 90, "g", None),
        ("1½ cups (90g)", 1.5, "cup", 90, "g", None),
        ("⅓ cup (30 g)", 0.333, "cup", 30, "g", None),
        ("1 cup (159 g)", 1, "cup", 159, "g", None),
        ("1 oz (28g/ about 39 pieces)", 1, "oz", 28, "g", 39),
        ("28g/ about 24 pieces", 24, "piece", 28, "g", None),
        ("1 Tbsp (15mL)", 1, "tbsp", 15, "ml", None),
        ("12 fl oz (355 mL)", 12, "fl_oz", 355, "ml", None),
        ("9 crackers/ galletas (30g)", 9, "cracker", 30, "g", None),
        ("2 cda. (31g)", 2, "tbsp", 31, "g", None),
        ("1/2 cup (40g) dry", 0.5, "cup", 40, "g", None),
        ("2.5 oz (70g/ about 1/3 box)", 2.5, "oz", 70, "g", None),
        ("2 mints (4.5g), Amount per", 2, "mint", 4.5, "g", None),
        ("1 0z (28g)", 1, "oz", 28, "g", None),
        ("‘3/4 cup (309)", 0.75, "cup", 30, "g", None),
        ("1 container (l50g)", 1, "container", 150, "g", None),
    ],
)
def test_serving_sizes(
    text: str, amount: float, unit: str, metric: float, metric_unit: str, pieces: float | None
) -> None:
    found = read(text)

    assert (value(found.amount), value(found.unit)) == (amount, unit)
    assert (value(found.metric), value(found.metric_unit)) == (metric, metric_unit)
    assert value(found.pieces) == pieces
    assert all(part.cost < LIKELY for part in (found.amount, found.unit, found.metric) if part)


@pytest.mark.parametrize(
    ("before", "after", "expected", "about"),
    [
        ("8", "", 8, False),
        ("about 8", "", 8, True),
        ("aprox. 10", "", 10, True),
        ("", "About 2", 2, True),
        ("", "8,", 8, False),
        ("3.5", "", 3.5, False),
    ],
)
def test_servings_per_container(before: str, after: str, expected: float, *, about: bool) -> None:
    found = read("1 cup (30g)", before, after).per_container

    assert found is not None
    assert (found.value, found.about) == (expected, about)


def test_two_languages_that_differ_do_not_stand() -> None:
    lines = tuple(Line("servings", words("servings"), words(text), ((),)) for text in ("10", "16"))

    found = find_serving(Page(lines)).per_container

    assert found is not None
    assert found.cost >= LIKELY


@pytest.mark.parametrize("text", ["7/9 cup (55g)", "2 cup (55g)"])
def test_what_no_label_prints_does_not_stand(text: str) -> None:
    found = read(text)

    assert max(part.cost for part in (found.amount, found.unit) if part) >= LIKELY


@pytest.mark.parametrize("text", ["", "cup", "Y cup (", "see below"])
def test_what_cannot_be_read_is_not_guessed(text: str) -> None:
    found = read(text)

    assert found.amount is None
    assert found.metric is None


def test_a_second_look_that_differs_is_a_doubt() -> None:
    size = (Word("2/3", (0, 0, 9, 9), 0.95, also="1/3"), *words("cup (55g)"))
    found = find_serving(Page((Line("serving_size", words("Serving size"), (), (size,)),)))

    assert found.amount is not None
    assert found.amount.cost >= LIKELY
