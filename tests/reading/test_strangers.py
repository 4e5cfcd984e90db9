"""Print beside the panel, touching lines and short measures: what belongs to a field and what does not."""

from __future__ import annotations

import pytest

from shelfcheck.reading.bars import LIKELY
from shelfcheck.reading.candidates import find_fields
from shelfcheck.reading.columns import Split
from shelfcheck.reading.page import Word
from shelfcheck.reading.parting import parted
from shelfcheck.reading.rows import Line, Page, find_lines
from shelfcheck.reading.servings import find_serving

Print = tuple[str, int, int]
"""Text and where it begins: across and down."""
HIGH, WIDE = 20, 10


def words(*prints: Print, confidence: float = 0.95, high: int = HIGH) -> list[Word]:
    """Return the words of stretches of print, each stretch its own segment."""
    out = []
    for segment, (text, left, top) in enumerate(prints):
        for word in text.split():
            out.append(Word(word, (left, top, WIDE * len(word), high), confidence, None, segment))
            left += WIDE * len(word) + 6  # noqa: PLW2901
    return out


def numbered(*groups: list[Word]) -> list[Word]:
    """Return groups of words as one page, no two stretches with the same number."""
    out: list[Word] = []
    for group in groups:
        first = 1 + max((word.segment for word in out), default=-1)
        out += [Word(w.text, w.box, w.confidence, None, first + w.segment) for w in group]
    return out


def said(page: Page) -> dict[str, str]:
    return {line.id: " ".join(word.text for word in line.columns[0]) for line in page.lines}


FAT: tuple[Print, ...] = (("Total Fat 8g", 300, 100), ("10%", 600, 100))


def test_a_sentence_after_an_amount_is_no_part_of_it() -> None:
    found = find_lines(words(("Protein 3g NET WT 12 OZ", 300, 100)))

    assert said(found) == {"protein": "3g"}


def test_a_sentence_before_a_percent_is_no_part_of_it() -> None:
    found = find_lines(words(("Iron", 300, 100), ("Percent Daily Values are based on 2,000", 360, 100)))

    assert "2,000" not in said(found)["iron"]


def test_words_between_a_name_and_its_amount_are_allowed() -> None:
    assert said(find_lines(words(("Total Carbohydrate less than 1g", 0, 0)))) == {
        "carbohydrate": "less than 1g"
    }


def test_a_sentence_that_can_hardly_be_read_takes_no_amount() -> None:
    noise = words(("sunfl sorbit natral flavr 12g", 20, 100), confidence=0.3)
    found = find_lines(numbered(words(*FAT), noise))

    assert said(found) == {"fat": "8g 10%"}


def test_a_short_serving_size_that_can_hardly_be_read_stays() -> None:
    sized = numbered(words(("Serving size", 0, 0)), words(("2/3 cup (55g)", 300, 0), confidence=0.2))

    assert said(find_lines(sized)) == {"serving_size": "2/3 cup (55g)"}


def test_print_far_to_the_left_that_names_nothing_owns_no_serving_size() -> None:
    found = find_lines(
        words(
            ("Serving size/ Tamaño por ración", 100, 0),
            ("regac", 10, 34),
            ("1 cup (240mL)", 350, 30),
            ("Total Fat 8g", 100, 90),
        )
    )

    assert said(found)["serving_size"] == "1 cup (240mL)"


def test_a_running_text_goes_on_beside_another_text() -> None:
    rows = ("Total Fat 0g (0% DV), Cholest. 0mg", "(0% DV), Sodium 60mg (3% DV), Fiber", "2g (7% DV).")
    beside = ("OLIVE OIL, BASIL, SALT,", "CITRIC ACID, TOMATO PUREE,", "NATURAL FLAVOR.")
    found = find_lines(
        words(
            *((row, 400, 30 * at) for at, row in enumerate(rows)),
            *((row, 20, 30 * at) for at, row in enumerate(beside)),
        )
    )

    assert said(found)["cholesterol"] == "0mg (0% DV),"
    assert said(found)["fiber"] == "2g (7% DV)."


def test_an_amount_under_a_long_name_is_that_names() -> None:
    found = find_lines(
        words(
            ("TOTAL FAT 7g", 0, 0),
            ("9%", 260, 0),
            ("TOTAL CARBOHYDRATE", 340, 0),
            ("5g", 340, 26),
            ("2%", 620, 26),
        )
    )

    assert said(found) == {"fat": "7g 9%", "carbohydrate": "5g 2%"}


def test_small_print_far_to_the_right_is_no_calories() -> None:
    big = numbered(words(("Calories 120", 0, 0), high=40), words(("2", 400, 10), high=16))

    assert said(find_lines(big)) == {"energy": "120"}


def test_a_rule_before_a_name_is_no_letter() -> None:
    assert said(find_lines(words(("|SODIUM 80mg", 0, 0), ("4%", 300, 0)))) == {"sodium": "80mg 4%"}


def test_a_percent_and_a_rule_before_the_next_name_are_parted() -> None:
    found = find_lines(words(("Includes 5g Added Sugars", 0, 0), ("10% / Potassium 520mg", 300, 0)))

    assert said(found) == {"added_sugars": "5g 10% /", "potassium": "520mg"}


@pytest.mark.parametrize(
    ("text", "parts"),
    [("Calories120", ["Calories", "120"]), ("Protein<1g", ["Protein", "<1g"]), ("B12", ["B12"])],
)
def test_a_name_and_a_number_that_ran_together_are_parted(text: str, parts: list[str]) -> None:
    assert [word.text for word in parted([Word(text, (0, 0, 100, 20), 0.9)])] == parts


def test_columns_that_lean_are_parted_along_the_lean() -> None:
    """On a photo from the side each row stands further right than the one above."""
    rows = ("Total Fat", "Sodium", "Total Carbohydrate", "Protein", "Iron", "Potassium")
    prints = []
    for at, name in enumerate(rows):
        left = 90 * at
        prints += [
            (name, left, 60 * at),
            ("1g", 300 + left, 60 * at),
            ("2g", 420 + left, 60 * at),
        ]
    found = {line.id: line for line in find_lines(words(*prints)).lines}

    assert {key: [[w.text for w in column] for column in line.columns] for key, line in found.items()} == {
        key: [["1g"], ["2g"]] for key in ("fat", "sodium", "carbohydrate", "protein", "iron", "potassium")
    }


def test_amounts_that_stand_anywhere_make_no_column() -> None:
    assert Split.before(words(("1g", 0, 0), ("2g", 300, 30), ("3g", 40, 60), ("4g", 700, 90))) is None


def serving_line(*stretches: str) -> Page:
    sized = words(*((text, 200, 0) for text in stretches))
    name = tuple(words(("Serving size", 0, 0)))
    return Page((Line("serving_size", name, (), (tuple(sized),)),))


def test_the_stretch_that_says_a_whole_serving_size_is_heard_alone() -> None:
    found = find_serving(serving_line("WT.7 OZ (1552g)", "1/2 package (194g)"))

    assert found.metric is not None
    assert (found.metric.value, found.text) == (194, "1/2 package (194g)")


def test_two_whole_serving_sizes_are_not_told_apart() -> None:
    found = find_serving(serving_line("1 cup (240mL)", "2 cups (480mL)"))

    assert found.amount is not None
    assert found.metric is not None
    assert min(found.amount.cost, found.metric.cost) > LIKELY


def test_a_serving_that_stands_alone_is_one() -> None:
    def count(before: str, noun: str, confidence: float) -> tuple[float | str, float, float]:
        name = tuple(words((f"{noun} per container", 60, 0)))
        line = Line("servings", name, tuple(words((before, 0, 0), confidence=confidence)), ((),))
        read = find_serving(Page((line,))).per_container
        assert read is not None
        return read.value, read.confidence, read.cost

    assert count("1", "serving", 0.3)[1] > count("1", "servings", 0.3)[1]
    assert count("7", "serving", 0.9)[2] > count("7", "servings", 0.9)[2]


def test_a_second_reading_that_is_hardly_seen_contradicts_nothing() -> None:
    """A speck beside the calories that might be a number does not put them in doubt."""
    sure = Word("5", (0, 0, 10, 20), 1.0)
    speck = Word("4.", (60, 0, 10, 20), 0.3)
    name = (Word("Calories", (0, 0, 80, 20), 1.0),)

    agree = {
        word.confidence: find_fields(Page((Line("energy", name, (), ((sure, word),)),))).own["energy"].agree
        for word in (speck, Word("4.", (60, 0, 10, 20), 1.0))
    }

    assert agree == {0.3: True, 1.0: False}
