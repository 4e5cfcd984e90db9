"""The word files of both languages say the same things: keys, parts, and forms for one and for more."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from shelfcheck import data
from shelfcheck.words import LANGUAGES, words

ENGLISH, SPANISH = (words(lang) for lang in LANGUAGES)
PAGE = Path(__file__).parent.parent / "web" / "modules"
SAME_IN_BOTH = re.compile(r"^(\{\w+(:g)?\}|\W|unit|trans|tortillas?)*$")
"""What may be left as it is: parts, signs, and words that both languages share."""


def forms(entry: str | dict[str, str]) -> dict[str, str]:
    return entry if isinstance(entry, dict) else {"": entry}


def parts(sentence: str) -> set[str]:
    return set(re.findall(r"\{(\w+(?::g)?)\}", sentence))


def test_both_languages_have_the_same_keys_in_the_same_order() -> None:
    assert list(ENGLISH) == list(SPANISH)


@pytest.mark.parametrize("key", [key for key in ENGLISH if key != "about"])
def test_each_sentence_has_the_same_forms_and_parts(key: str) -> None:
    english, spanish = forms(ENGLISH[key]), forms(SPANISH[key])

    assert set(english) == set(spanish)
    assert {form: parts(text) for form, text in english.items()} == {
        form: parts(text) for form, text in spanish.items()
    }


def test_no_sentence_was_left_in_english() -> None:
    left = [
        key
        for key in ENGLISH
        for form, text in forms(ENGLISH[key]).items()
        if text == forms(SPANISH[key])[form] and not SAME_IN_BOTH.match(text)
    ]

    assert left == []


@pytest.mark.parametrize("lang", LANGUAGES)
def test_forms_are_one_and_other_and_no_sentence_is_empty(lang: str) -> None:
    for key, entry in words(lang).items():
        assert set(forms(entry)) in ({""}, {"one", "other"}), key
        assert all(text.strip() == text != "" for text in forms(entry).values()), key


def test_the_page_uses_every_sentence_of_its_own_and_no_other() -> None:
    """Keys that are put together at run time are known by their beginning."""
    source = "\n".join(path.read_text(encoding="utf-8") for path in sorted(PAGE.rglob("*.js")))
    known = {key.removeprefix("page.") for key in ENGLISH if key.startswith("page.")}
    said = set(re.findall(r'\bt\(\s*"([\w.]+)"', source))
    begun = tuple(re.findall(r"`(?:page\.)?([a-z_]+\.[a-z_.]*)\$\{", source))
    unused = {key for key in known if f'"{key}"' not in source and not key.startswith(begun)}

    assert said <= known
    assert unused == set()


def test_every_caution_and_measure_has_its_words_in_both_languages() -> None:
    cautions = data.load("diet_rules.json")["cautions"]
    measures = data.load("measures.json")["measures"]

    assert all(f"caution.{code}" in ENGLISH for code in cautions)
    for measure in measures:
        assert set(measure["name"]) == set(LANGUAGES), measure["id"]
        assert set(measure.get("shown", dict.fromkeys(LANGUAGES))) == set(LANGUAGES), measure["id"]
