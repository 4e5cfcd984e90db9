"""Amounts as people write them, in English and Spanish; what could be read two ways is refused."""

import math

import pytest

from shelfcheck import units
from shelfcheck.amounts import MOST, Amount, amount_from, check_count, is_container, label_noun, parse_amount
from shelfcheck.errors import AmountError
from shelfcheck.measures import measures
from shelfcheck.words import LANGUAGES
from tests.making import outside

WRITTEN = outside("written_amounts")


@pytest.mark.parametrize(("text", "count", "measure"), WRITTEN["en"] + WRITTEN["es"])
@pytest.mark.parametrize("lang", LANGUAGES)
def test_an_amount_is_read_as_it_is_meant_whatever_the_language_of_the_page(
    text: str, count: float, measure: str, lang: str
) -> None:
    read = parse_amount(text, lang)

    assert read.count == pytest.approx(count, rel=1e-12)
    assert (read.measure, read.cooked) == (measure, False)


@pytest.mark.parametrize("text", WRITTEN["cooked"])
def test_cooked_is_heard_wherever_it_stands(text: str) -> None:
    assert parse_amount(text).cooked


@pytest.mark.parametrize("text", WRITTEN["dry"])
def test_dry_is_not_cooked(text: str) -> None:
    read = parse_amount(text)

    assert not read.cooked
    assert read.measure == "cup"


@pytest.mark.parametrize(("text", "amount", "unit"), WRITTEN["other_units"])
def test_units_that_no_label_uses_become_grams_or_millilitres(text: str, amount: float, unit: str) -> None:
    read = parse_amount(text)

    assert read.count == pytest.approx(amount, rel=1e-9)
    assert read.measure == unit


@pytest.mark.parametrize("text", [*WRITTEN["refused"], "2 fists " * 20, "x" * 5000, "9" * 5000 + " cups"])
def test_what_is_not_one_number_and_one_measure_is_refused(text: str) -> None:
    for lang in LANGUAGES:
        with pytest.raises(AmountError) as caught:
            parse_amount(text, lang)

        assert set(caught.value.fields) == {"amount"}
        assert len(caught.value.message) < 250


@pytest.mark.parametrize("text", WRITTEN["too_much_or_nothing"])
def test_nothing_and_more_than_anyone_eats_are_refused(text: str) -> None:
    with pytest.raises(AmountError) as caught:
        parse_amount(text)

    assert set(caught.value.fields) <= {"amount.count", "amount"}


@pytest.mark.parametrize("count", [0, -1, -0.0, math.nan, math.inf, MOST + 1, 10**400])
def test_a_count_is_above_nothing_and_at_most_ten_thousand(count: float) -> None:
    with pytest.raises(AmountError, match="at most 10000"):
        check_count(count)


def test_the_greatest_count_is_allowed() -> None:
    assert check_count(MOST) == MOST


@pytest.mark.parametrize(
    ("measure", "known"),
    [
        ("fist", "fist"),
        ("Fists", "fist"),
        ("two_fingers", "two_fingers"),
        ("fl_oz", "fl_oz"),
        ("puño", "fist"),
        ("Crackers", "cracker"),
        ("slices", "slice"),
        ("glass", "glass"),
        ("rebanadas", "slice"),
        ("mint", "mint"),
    ],
)
def test_a_measure_may_be_named_by_id_words_or_the_labels_own_unit(measure: str, known: str) -> None:
    assert amount_from(2, measure) == Amount(2, known)


def test_a_labels_unit_is_kept_in_the_singular() -> None:
    assert [label_noun(word) for word in ("Cookies", "glass", "gas", "Muffins.", "pouches")] == [
        "cookie",
        "glass",
        "gas",
        "muffin",
        "pouch",
    ]
    assert is_container("pouch")
    assert not is_container("cracker")


@pytest.mark.parametrize(
    ("amount", "english", "spanish"),
    [
        (Amount(2, "fist"), "2 fists", "2 puños"),
        (Amount(0.5, "cup", cooked=True), "1/2 cup cooked", "1/2 taza cocido"),
        (Amount(1.5, "thumb"), "1 1/2 thumbs", "1 1/2 pulgares"),
        (Amount(3, "cracker"), "3 crackers", "3 crackers"),
        (Amount(0.37, "g"), "0.37 gram", "0.37 gramo"),
    ],
)
def test_an_amount_is_said_in_either_language(amount: Amount, english: str, spanish: str) -> None:
    assert amount.text() == english
    assert amount.text("es").startswith(spanish[:-1])


def test_a_count_that_a_fraction_would_bend_is_said_in_full() -> None:
    assert Amount(0.6667, "cup").text() == "0.6667 cup"
    assert Amount(1e-7, "cup").text() == "0.0000001 cup"


@pytest.mark.parametrize("word", ["meter", "hour", "kcal", "", "((", "1 +", "x" * 100, "__class__", "degC"])
def test_what_is_no_weight_or_volume_is_no_unit(word: str) -> None:
    assert units.to_label_unit(2, word) is None


def test_every_measure_said_in_words_is_read_back() -> None:
    for measure in measures().values():
        for lang in LANGUAGES:
            for count in (0.5, 1, 2, 3.25):
                amount = Amount(count, measure.id)

                assert parse_amount(amount.text(lang), lang) == amount
