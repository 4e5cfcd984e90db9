"""Printed names, found in words that were misread."""

import pytest

from shelfcheck.reading.names import find_names
from shelfcheck.reading.nouns import singular, unit_of
from shelfcheck.reading.page import Word
from shelfcheck.rules import nutrients


def ids(text: str) -> list[str]:
    return [name.id for name in find_names(text.split())]


@pytest.mark.parametrize(
    ("key", "name"),
    [
        (key, name)
        for key, nutrient in nutrients().items()
        for names in nutrient.names.values()
        for name in names
    ],
)
def test_every_printed_name_is_found_with_what_follows_it(key: str, name: str) -> None:
    assert ids(f"{name} 12g 3%") == [key]


@pytest.mark.parametrize(
    ("read", "key"),
    [
        ("lron 2mg", "iron"),
        ("1ron 2mg", "iron"),
        ("Tota1 Fat 8g", "fat"),
        ("TotalFat 8g", "fat"),
        ("Cholesterot 0mg", "cholesterol"),
        ("Azucares Afiadidos 2g", "added_sugars"),
        ("Proteinas 3g", "protein"),
        ("Vitamina D 2mcg", "vitamin_d"),
        ("Serving sizel 2", "serving_size"),
    ],
)
def test_misread_names_are_found(read: str, key: str) -> None:
    assert ids(read) == [key]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("Polyunsaturated Fat 1g Monounsaturated Fat 2g", ["polyunsaturated_fat", "monounsaturated_fat"]),
        ("Soluble Fiber 1g Insoluble Fiber 2g", ["soluble_fiber", "insoluble_fiber"]),
        ("2g Total Sugars 3g", ["total_sugars"]),
        ("Calories from Fat 20", ["energy_from_fat"]),
        ("Calories 20", ["energy"]),
        ("16 servings per container", ["servings"]),
        ("Whole grain oats, corn starch,", []),
    ],
)
def test_likes_are_kept_apart(text: str, expected: list[str]) -> None:
    assert ids(text) == expected


def test_vitamin_a_is_not_read_into_the_spanish_word() -> None:
    assert ids("Vitamina 0 2mcg") != ["vitamin_a"]


def unit(text: str, amount: float = 1, *, two_languages: bool = False) -> tuple[str, float] | None:
    noun = [Word(word, (0, 0, 1, 1), 1.0) for word in text.split()]
    return unit_of(noun, amount, two_languages=two_languages)


@pytest.mark.parametrize(
    ("noun", "expected"),
    [
        ("cup", "cup"),
        ("Tbsp", "tbsp"),
        ("cda.", "tbsp"),
        ("fl oz", "fl_oz"),
        ("0z", "oz"),
        ("02", "oz"),
        ("taza", "cup"),
        ("piezas", "piece"),
        ("bottle", "bottle"),
        ("crackers/", "cracker"),
        ("tortillas", "tortilla"),
        ("cupltaza", "cup"),
        ("cupsitazas", "cup"),
        ("tbspicda", "tbsp"),
        ("packagelpaquete", "package"),
    ],
)
def test_nouns_become_our_units_or_their_singular(noun: str, expected: str) -> None:
    found = unit(noun)

    assert found is not None
    assert found[0] == expected
    assert found[1] < 1


def test_two_cup_has_lost_something() -> None:
    doubted, plain = unit("cup", 2), unit("cups", 2)

    assert doubted is not None
    assert plain is not None
    assert doubted[1] >= 1 > plain[1]


def test_a_strange_noun_without_its_stroke_is_doubted_on_a_label_in_two_languages() -> None:
    doubted, plain = unit("crackersigalletas", two_languages=True), unit("crackers/", two_languages=True)

    assert doubted is not None
    assert plain is not None
    assert doubted[1] >= 1 > plain[1]


def test_no_noun_is_no_unit() -> None:
    assert unit("") is None


@pytest.mark.parametrize(
    ("many", "one"),
    [("cookies", "cookie"), ("berries", "berry"), ("sandwiches", "sandwich"), ("glass", "glass")],
)
def test_singulars(many: str, one: str) -> None:
    assert singular(many) == one
