"""Words to lines: which words belong to which name, in every layout."""

import pytest

from shelfcheck.reading.page import Word
from shelfcheck.reading.rows import Line, Page, find_lines
from tests.making import sample
from tests.reading.replay import NAMES, stored_page

NOT_IN_LINES = {"title", "amount", "percent", "energy_from_fat", "servings", "serving_size"}


def page(*rows: tuple[str, ...], gap: int = 200) -> Page:
    """Return the page of rows of cells; each cell is one stretch, ``gap`` px from the next, 20 px high."""
    words = []
    for row, cells in enumerate(rows):
        left = 0
        for cell in cells:
            for text in cell.split():
                wide = 10 * len(text)
                words.append(Word(text, (left, row * 30, wide, 20), 0.95))
                left += wide + 6
            left += gap
    return find_lines(words)


def said(line: Line, column: int = 0) -> str:
    return " ".join(word.text for word in line.columns[column])


def lines(found: Page) -> dict[str, str]:
    return {line.id: said(line) for line in found.lines}


@pytest.mark.parametrize("name", NAMES)
def test_every_printed_nutrient_of_a_sample_has_one_line(name: str) -> None:
    found = [line.id for line in stored_page(name).lines if line.id not in NOT_IN_LINES]

    assert sorted(found) == sorted(sample(name)["nutrients"])


@pytest.mark.parametrize("name", NAMES)
def test_columns_of_a_sample_are_those_printed(name: str) -> None:
    assert stored_page(name).columns == tuple(sample(name).get("columns", {}))


def test_amounts_and_percents_go_to_the_name_on_their_left() -> None:
    found = page(("Total Fat 8g", "10%"), ("Saturated Fat 1g", "5%"), ("Trans Fat 0g",))

    assert lines(found) == {"fat": "8g 10%", "saturated_fat": "1g 5%", "trans_fat": "0g"}


def test_two_by_two_vitamins_are_four_lines() -> None:
    found = page(
        ("Vitamin D 2mcg", "10%", "Calcium 260mg", "20%"), ("Iron 8mg", "45%", "Potassium 240mg", "6%")
    )

    assert lines(found) == {
        "vitamin_d": "2mcg 10%",
        "calcium": "260mg 20%",
        "iron": "8mg 45%",
        "potassium": "240mg 6%",
    }


def test_running_text_goes_on_over_line_ends() -> None:
    found = page(
        ("Nutrition Facts Servings: 8, Serv. size: 2 mints",),
        ("(5g), Amount per serving: Calories 20, Total",),
        ("Fat 0g (0% DV), Sodium 0mg (0% DV), Iron",),
        ("0mg (0% DV), Potas. 0mg (0% DV).",),
    )

    assert lines(found)["serving_size"] == "2 mints (5g),"
    assert lines(found)["energy"] == "20,"
    assert lines(found)["fat"] == "0g (0% DV),"
    assert lines(found)["iron"] == "0mg (0% DV),"
    assert lines(found)["potassium"] == "0mg (0% DV)."


def test_two_languages_on_one_line_are_one_name() -> None:
    found = page(("Total Fat/Grasa Total 5g", "6%"), ("Sodium/Sodio 220mg", "10%"))

    assert lines(found) == {"fat": "5g 6%", "sodium": "220mg 10%"}


def test_added_sugars_may_break_in_two() -> None:
    found = page(("Total Sugars 3g",), ("Includes less than 1g Added",), ("Sugars", "1%"))

    assert lines(found) == {"total_sugars": "3g", "added_sugars": "less than 1g 1%"}


def test_two_columns_are_parted() -> None:
    found = page(
        ("Calories", "260", "350"),
        ("Total Fat    ", "3g", "4%", "12g", "15%"),
        ("Saturated Fat", "1g", "5%", "4g", "23%"),
        ("Cholesterol   ", "5mg", "2%", "9mg", "3%"),
    )
    fat = next(line for line in found.lines if line.id == "fat")

    assert len(found.columns) == 1
    assert (said(fat, 0), said(fat, 1)) == ("3g 4%", "12g 15%")


def test_what_a_footnote_says_is_no_amount() -> None:
    found = page(
        ("Total Fat 12g", "18%"),
        ("* Percent Daily Values are based on a 2,000 calorie diet.",),
        ("Total Fat", "Less than", "65g", "80g"),
        ("Calories: 2,000",),
    )

    assert lines(found) == {"fat": "12g 18%"}


def test_a_left_out_nutrient_is_not_read_out_of_the_sentence_that_names_it() -> None:
    found = page(("Protein 3g",), ("Not a significant source of trans fat, fiber and iron.",))

    assert "fiber" not in lines(found)


def test_no_words_are_no_lines() -> None:
    assert find_lines([]).lines == ()


def test_a_heading_of_a_table_is_no_footnote() -> None:
    found = page(("Nutrient", "Amount", "% DV*"), ("Total Fat", "1.5g", "2%"), ("Sodium", "95mg", "4%"))

    assert lines(found)["fat"] == "1.5g 2%"
    assert lines(found)["sodium"] == "95mg 4%"


def test_a_percent_that_runs_into_the_next_name_stays_with_its_own() -> None:
    found = page(("Vitamin D 2mcg", "10% • Calcium 260mg", "20%"))

    assert lines(found)["vitamin_d"].startswith("2mcg 10%")
    assert lines(found)["calcium"] == "260mg 20%"


def test_ingredients_above_the_panel_do_not_end_it() -> None:
    found = page(("INGREDIENTS: oats, honey, salt",), ("Total Fat 8g", "10%"), ("Sodium 160mg", "7%"))

    assert lines(found)["fat"] == "8g 10%"


def test_calories_per_serving_have_the_figures_beside_them_whatever_follows() -> None:
    found = page(("Calories per serving: 130 each",), ("Total Fat 8g", "10%"))

    assert lines(found)["energy"] == "130"
