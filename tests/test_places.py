"""The meal's sums and the files of kept foods, as the page's own modules work them out, in node."""

from __future__ import annotations

import csv
import io
import json
import math
import random
from collections.abc import Callable
from typing import Any

import pytest
from uncertainties import ufloat

from shelfcheck.measures import measures, uncertainty
from tests.making import sample
from tests.vectors.node import ask_javascript, page_copy

Json = dict[str, Any]
Ask = Callable[[str, Json], Any]


@pytest.fixture(scope="module")
def ask(tmp_path_factory: pytest.TempPathFactory) -> Ask:
    page = page_copy(tmp_path_factory.mktemp("places"))

    def one(kind: str, given: Json) -> Any:
        [answer] = ask_javascript([{"ask": kind, "given": given}], page)
        return answer

    return one


def item(name: str, count: float, measure: str, **more: Any) -> Json:
    return {"panel": sample(name), "amount": {"count": count, "measure": measure}, **more}


def kept(name: str, **more: Any) -> Json:
    amount = {"count": 2, "measure": "fist", "cooked": False}
    return {"name": name, "food": "granola", "amount": amount, "panel": sample("fda_sample"), **more}


# ---- the meal ----


@pytest.mark.parametrize("seed", range(4))
def test_a_meal_sums_as_the_library_propagates_one_hand_and_independent_rest(ask: Ask, seed: int) -> None:
    """`uncertainties`: one variable for the hand that all share, one for each cup and each print."""
    rng = random.Random(seed)
    counts = [rng.choice((0.5, 1, 1.5, 2, 3)) for _ in range(3)]
    hand = ufloat(1, uncertainty("hand"))
    spoon = [ufloat(1, uncertainty("spoon")) for _ in counts]
    items = [item("fda_sample", count, measure) for count in counts for measure in ("fist", "cup")]
    each, print_u = 37, 1 / 12**0.5  # 37 g carbohydrate, printed to the gram
    cup, serving = measures()["cup"].ways[0].amount, 160  # label mL; 2/3 cup
    total = sum(
        count * cup / serving * (ufloat(each, print_u) * hand + ufloat(each, print_u) * own)
        for count, own in zip(counts, spoon, strict=True)
    )

    found = ask("meal", {"items": items})["carbohydrate"]["range"]

    assert found["value"] == pytest.approx(total.n)
    assert found["high"] - found["value"] == pytest.approx(
        total.s, rel=0.003
    )  # products of spreads are left out


def test_two_helpings_by_one_hand_are_as_uncertain_as_one_helping_twice_the_size(ask: Ask) -> None:
    twice = ask("meal", {"items": [item("fda_sample", 1, "fist")] * 2})["energy"]["range"]
    whole = ask("meal", {"items": [item("fda_sample", 2, "fist")]})["energy"]["range"]

    assert twice["value"] == pytest.approx(whole["value"])
    assert twice["high"] == pytest.approx(whole["high"], rel=0.002)


def test_a_bowl_and_a_hand_are_off_by_themselves_and_two_bowls_alike(ask: Ask) -> None:
    def reach(*measures: str) -> float:
        found = ask("meal", {"items": [item("fda_sample", 1, measure) for measure in measures]})["energy"][
            "range"
        ]
        return float(found["high"] - found["value"])

    fist, bowl = reach("fist"), reach("bowl")

    assert reach("bowl", "bowl") == pytest.approx(2 * bowl, rel=0.003)
    assert reach("fist", "bowl") == pytest.approx(math.hypot(fist, bowl), rel=0.003)


def test_a_food_that_does_not_tell_a_nutrient_is_counted_as_missing(ask: Ask) -> None:
    silent = item("fda_sample", 1, "fist")
    silent["panel"]["nutrients"]["sodium"] |= {"value": None, "percent_dv": None, "state": "missing"}

    sums = ask("meal", {"items": [silent, item("fda_sample", 1, "fist")]})

    assert sums["sodium"]["missing"] == 1
    assert sums["energy"]["missing"] == 0
    assert sums["sodium"]["range"]["value"] == pytest.approx(1.5 * 160)


# ---- files ----


def test_kept_foods_come_back_from_json_as_they_were_saved(ask: Ask) -> None:
    foods = [kept("Granola", kept="2026-05-04T10:00:00.000Z"), kept("Cena, del martes")]

    text = ask("save", {"foods": foods})["json"]
    back = ask("bring", {"text": text})["foods"]

    assert [(food["name"], food["food"], food["amount"]) for food in back] == [
        (food["name"], food["food"], food["amount"]) for food in foods
    ]
    for food, old in zip(back, foods, strict=True):
        for key, printed in old["panel"]["nutrients"].items():
            assert food["panel"]["nutrients"][key]["value"] == printed["value"], key
    assert (
        json.loads(ask("save", {"foods": back})["json"])["foods"]
        == json.loads(
            ask("save", {"foods": ask("bring", {"text": ask("save", {"foods": back})["json"]})["foods"]})[
                "json"
            ]
        )["foods"]
    )


def test_kept_foods_come_back_from_csv_with_every_printed_number(ask: Ask) -> None:
    less = kept('Rings "of oats", plain')
    less["panel"]["nutrients"]["fiber"] |= {"value": 1, "less_than": True}

    text = ask("save", {"foods": [less]})["csv"]
    [back] = ask("bring", {"text": text})["foods"]

    [row] = csv.DictReader(io.StringIO(text))  # Python's own reader takes the file for what it says
    assert (row["name"], row["sodium_mg"], row["fiber_g"]) == (less["name"], "160", "<1")
    assert back["amount"] == less["amount"]
    for key, printed in less["panel"]["nutrients"].items():
        found = back["panel"]["nutrients"][key]
        assert (found["value"], found["percent_dv"], found["less_than"]) == (
            printed["value"],
            printed["percent_dv"],
            printed["less_than"],
        ), key


def test_a_name_is_never_a_formula_in_a_table_program(ask: Ask) -> None:
    names = ["=2+3", "-1", "@x", "＝2+3", "'=2+3", "'s gravy", "a=b"]

    text = ask("save", {"foods": [kept(name) for name in names]})["csv"]

    written = [row["name"] for row in csv.DictReader(io.StringIO(text))]
    assert written == ["'=2+3", "'-1", "'@x", "'＝2+3", "''=2+3", "'s gravy", "a=b"]
    assert [food["name"] for food in ask("bring", {"text": text})["foods"]] == names


@pytest.mark.parametrize("seed", range(3))
def test_no_cell_of_a_table_is_a_formula_and_every_text_comes_back(ask: Ask, seed: int) -> None:
    """Names, foods and the label's own nouns, of the signs that tables and formulas are made of."""
    rng = random.Random(seed)
    signs = "=+-@＝＋－＠'\"\t\r\n,;| aé0ñ🍎"
    texts = ["x" + "".join(rng.choices(signs, k=rng.randint(1, 6))) + "x" for _ in range(150)]
    names = [text.removeprefix("x").removesuffix("x").strip() or "x" for text in texts]
    foods = [kept(name) | {"food": food} for name, food in zip(names, reversed(names), strict=True)]

    text = ask("save", {"foods": foods})["csv"]

    cells = [cell for row in csv.reader(io.StringIO(text, newline="")) for cell in row]
    assert [cell for cell in cells if cell.startswith(tuple("=+-@\t\r\n＝＋－＠"))] == []
    back = ask("bring", {"text": text})["foods"]
    assert [(food["name"], food["food"]) for food in back] == [(food["name"], food["food"]) for food in foods]


@pytest.mark.parametrize(
    ("text", "code", "row"),
    [
        ("", "unknown", None),
        ("hello", "unknown", None),
        ('{"shelfcheck": 1}', "unknown", None),
        ('{"shelfcheck": 9, "foods": []}', "newer", None),
        ('{"shelfcheck": 1, "foods": [{"panel": {"serving": 3}}]}', "food", 1),
        ('{"shelfcheck": 1, "foods": [null]}', "food", 1),
        ("name,household_amount\nx,two", "food", 1),
        ("a,b,c\n1,2,3", "unknown", None),
    ],
)
def test_a_file_that_cannot_be_taken_in_says_why(ask: Ask, text: str, code: str, row: int | None) -> None:
    answer = ask("bring", {"text": text})

    assert (answer.get("code"), answer.get("row")) == (code, row)
    assert code != "food" or answer["reason"]
