"""Codes are easy to say and to type; of tokens only a hash is kept."""

import pytest

from shelfcheck import data
from shelfcheck.tours.codes import (
    new_code,
    new_token,
    phone_hash,
    shown_code,
    token_fits,
    token_hash,
    typed_code,
)


def test_codes_are_four_syllables_of_letters_that_sound_apart() -> None:
    rules = data.load("tour_rules.json")["codes"]

    for _ in range(500):
        code = new_code()
        assert len(code) == 8
        assert all(code[place] in rules["consonants"] for place in range(0, 8, 2))
        assert all(code[place] in rules["vowels"] for place in range(1, 8, 2))
        assert not any(pair in code for pair in rules["avoid"])


def test_no_two_codes_of_many_are_alike() -> None:
    assert len({new_code() for _ in range(300)}) > 295


@pytest.mark.parametrize(
    "text", ["bami-tuko", "bamituko", "BAMI-TUKO", "Bami Tuko", " bami  tuko ", "bámi–tukó", "vami-tuco"]
)
def test_a_code_is_known_however_it_is_typed(text: str) -> None:
    assert typed_code(text) == "bamituko"


@pytest.mark.parametrize(
    "text", ["", "bami", "bami-tuk", "bami-tukoo", "abmi-tuko", "beme-teke", "b" * 999, "12"]
)
def test_what_cannot_be_a_code_is_none(text: str) -> None:
    assert typed_code(text) is None


def test_a_shown_code_is_typed_back() -> None:
    code = new_code()

    assert shown_code("bamituko") == "bami-tuko"
    assert typed_code(shown_code(code)) == code


def test_a_token_fits_its_hash_and_no_other() -> None:
    token = new_token()

    assert len(token) == 43
    assert token not in token_hash(token)
    assert token_fits(token, token_hash(token))
    assert not token_fits(new_token(), token_hash(token))
    assert not token_fits("\ud800", token_hash(token))


def test_a_phone_is_another_in_each_tour() -> None:
    assert phone_hash(1, "x") != phone_hash(2, "x")
    assert phone_hash(1, "x") == phone_hash(1, "x")
