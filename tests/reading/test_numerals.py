"""What a printed number may be."""

import pytest

from shelfcheck.reading.bars import LIKELY
from shelfcheck.reading.numerals import Candidate, Token, amounts, find_tokens, percents
from shelfcheck.reading.page import Word
from shelfcheck.rules import nutrients


def tokens(text: str, *, descends: bool | None = None) -> list[Token]:
    return list(find_tokens([Word(word, (0, 0, 1, 1), 1.0, descends) for word in text.split()]))


def best(text: str, key: str, *, descends: bool | None = None) -> Candidate:
    return amounts(tokens(text, descends=descends)[0], nutrients()[key])[0]


@pytest.mark.parametrize(
    ("text", "key", "value"),
    [
        ("8g", "fat", 8),
        ("8 g", "fat", 8),
        ("2.5g", "fat", 2.5),
        ("2,5g", "fat", 2.5),
        ("Og", "fat", 0),
        ("lg", "fiber", 1),
        ("tg", "fiber", 1),
        ("Ag", "protein", 4),
        ("39", "fiber", 3),
        ("4.59", "fat", 4.5),
        ("05g", "fat", 0.5),
        ("0mg", "sodium", 0),
        ("Omg", "sodium", 0),
        ("l60mg", "sodium", 160),
        ("160mq", "sodium", 160),
        ("1,080mg", "sodium", 1080),
        ("Omcg", "vitamin_d", 0),
        ("2meg", "vitamin_d", 2),
        ("230", "energy", 230),
        ("(55g)", "fat", 55),
    ],
)
def test_the_likeliest_amount_stands_by_itself(text: str, key: str, value: float) -> None:
    found = best(text, key)

    assert found.value == value
    assert found.cost < LIKELY
    assert not found.less_than


@pytest.mark.parametrize(
    ("text", "value"), [("<1g", 1), ("< 1g", 1), ("<lg", 1), ("less than 1g", 1), ("menos de 1 g", 1)]
)
def test_less_than_is_kept(text: str, value: float) -> None:
    found = best(text, "fiber")

    assert (found.value, found.less_than) == (value, True)


def test_less_than_belongs_to_the_number_behind_it() -> None:
    found = tokens("100 < 1g")

    assert [(token.text, token.less_than) for token in found] == [("100", False), ("1g", True)]


def test_a_lost_unit_does_not_stand_by_itself() -> None:
    assert best("38", "fiber").cost >= LIKELY


def test_the_last_letter_tells_g_from_9_by_its_shape() -> None:
    assert best("39", "fiber", descends=True).cost < best("39", "fiber").cost
    assert best("39", "fiber", descends=False).value == 39
    assert best("39", "fiber", descends=False).cost >= LIKELY


def test_a_lost_point_and_a_misread_figure_are_among_the_candidates() -> None:
    two = {candidate.value: candidate.cost for candidate in amounts(tokens("25g")[0], nutrients()["fat"])}
    one = {candidate.value: candidate.cost for candidate in amounts(tokens("8g")[0], nutrients()["fat"])}

    assert two[25] == 0
    assert two[2.5] >= LIKELY
    assert one[3] > two[2.5]


@pytest.mark.parametrize(("text", "value"), [("10%", 10), ("(0%", 0), ("O%", 0), ("80/0", 8), ("10 %", 10)])
def test_percents(text: str, value: float) -> None:
    token = tokens(text)[0]

    assert token.percent
    assert percents(token)[0].value == value
    assert percents(token)[0].cost < LIKELY


@pytest.mark.parametrize("text", ["you how much", "a", "e", "o", "DV),", "•", "Iron", ""])
def test_words_are_no_numbers(text: str) -> None:
    assert tokens(text) == []


def test_a_line_gives_its_numbers_in_order() -> None:
    assert [token.text for token in tokens("5g (2% DV), less than 1g 10%")] == ["5g", "2%", "1g", "10%"]
