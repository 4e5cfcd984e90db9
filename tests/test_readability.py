"""How easily the sentences that shoppers read are read, by the formulas of schools; counted by textstat.

English: Flesch-Kincaid, a school grade. Spanish: Fernández Huerta, 0 (hard) to 100 (easy), where 70 to 80
is "fairly easy". Words of the trade that stand on every label ("carbohydrate", "sodium", "calories",
"% Daily Value", ...) cannot be said otherwise; each is replaced by one plain word before the count.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
import textstat

from shelfcheck import data
from shelfcheck.words import words

GRADE = 6
LONGER = 8
"""From how many words a sentence is judged by itself: the formulas mean little for "Keep it"."""
EASY = 79
"""Fairly easy is 70. textstat splits Spanish words where a printer may, and so finds 8 % too few syllables
(1.72 a word; by the rule of vowels 1.86), which flatters by 9 points."""
OF_THE_TRADE = {
    "en": ("label", r"Nutrition Facts|carbohydrates?|calories|sodium|% Daily Value|servings per container"),
    "es": ("comida", r"Nutrition Facts|carbohidratos|calorías|sodio|% de valor diario|porciones por envase"),
}
NOT_FOR_SHOPPERS = re.compile(
    "about$|(text|explain|work|part|odds|amount|nutrient|field)[.]"
    "|error[.](http|bad_json|no_file|explain|reader_missing|compare_two|coverage)"
    "|fault[.](hands_name|not_an_object|pair|coverage|one_of|yes_or_no|not_a_text|state)"
)
"""Names, figures, and what only the terminal and the API say."""


def sentences(lang: str) -> Iterator[tuple[str, str]]:
    """Yield each entry that shoppers read, by its key; its parts are a number and its trade words plain."""
    plain, trade = OF_THE_TRADE[lang]
    entries = {key: entry for key, entry in words(lang).items() if not NOT_FOR_SHOPPERS.match(key)}
    shown = {
        f"shown.{row['id']}": row["shown"][lang]
        for row in data.load("measures.json")["measures"]
        if "shown" in row
    }
    for key, entry in {**entries, **shown}.items():
        for text in entry.values() if isinstance(entry, dict) else [entry]:
            filled = re.sub(r"\{\w+(:g)?\}", "6", text)
            yield key, re.sub(trade, plain, filled, flags=re.IGNORECASE)


def longer(lang: str) -> dict[str, str]:
    return {key: text for key, text in sentences(lang) if len(text.split()) >= LONGER}


def together(lang: str) -> str:
    return " ".join(text.rstrip(".?!:…") + "." for text in longer(lang).values())


@pytest.fixture
def english() -> None:
    textstat.set_lang("en_US")


@pytest.fixture
def spanish() -> None:
    textstat.set_lang("es")


def test_there_are_sentences_to_judge() -> None:
    assert len(longer("en")) > 100
    assert len(longer("es")) > 100


@pytest.mark.usefixtures("english")
def test_english_is_for_the_sixth_grade_or_lower() -> None:
    hard = {key: grade for key, text in longer("en").items() if (grade := grade_of(text)) > GRADE}

    assert hard == {}
    assert grade_of(together("en")) <= GRADE


@pytest.mark.usefixtures("spanish")
def test_spanish_is_fairly_easy_or_easier() -> None:
    hard = {key: score for key, text in longer("es").items() if (score := ease_of(text)) < EASY}

    assert hard == {}
    assert ease_of(together("es")) >= EASY


@pytest.mark.usefixtures("english")
def test_a_sentence_of_an_office_would_not_pass() -> None:
    text = "Quantities are approximations; anthropometric variability necessitates calibration."

    assert grade_of(text) > GRADE


@pytest.mark.usefixtures("spanish")
def test_a_spanish_sentence_of_an_office_would_not_pass() -> None:
    text = "Las cantidades constituyen aproximaciones; la variabilidad antropométrica exige calibración."

    assert ease_of(text) < EASY


def grade_of(text: str) -> float:
    return float(textstat.flesch_kincaid_grade(text))


def ease_of(text: str) -> float:
    return float(textstat.fernandez_huerta(text))
