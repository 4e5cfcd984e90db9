"""The report: the core's numbers, no cell that a spreadsheet runs, words in both languages."""

from __future__ import annotations

import csv
import io
import statistics

import pytest

from shelfcheck.tours.report import _safe
from shelfcheck.words import LANGUAGES
from tests.tours.walking import Walk, amount, phone, plan_json, stop_json


def table(walk: Walk, lang: str = "en") -> list[dict[str, str]]:
    response = walk.lead("GET", f"/report.csv?lang={lang}")
    assert response.status_code == 200
    assert response.mimetype == "text/csv"
    assert response.headers["Content-Disposition"] == 'attachment; filename="tour.csv"'
    assert response.headers["Cache-Control"] == "no-store"
    content = response.get_data().decode("utf-8-sig")
    assert response.get_data().startswith(b"\xef\xbb\xbf")
    return list(csv.DictReader(io.StringIO(content, newline="")))


@pytest.fixture
def walked(walk: Walk) -> Walk:
    for count in (1, 2.5, 4):
        who = phone()
        walk.state("open")
        walk.guess(who, amount(count))
        walk.practise(who, 240 * count)
        walk.practise(who, 240 + count, "after")
    return walk


def test_the_report_has_every_stop_and_the_errors_of_practice(walked: Walk) -> None:
    report = walked.lead("GET", "/report").get_json()

    assert (report["title"], report["code"], report["phones"]) == (walked.tour()["title"], walked.code, 3)
    group = report["stops"][0]["group"]
    assert (group["answers"], group["nutrients"]["energy"]["values"]) == (3, [150, 375, 600])
    assert [stop["group"]["answers"] for stop in report["stops"]] == [3, 0, 0, 0, 0]
    assert report["practice"] == [
        {
            "measure": "fist",
            "unit": "ml",
            "target": 240,
            "before": {
                "n": 3,
                "median_absolute_percent": 150,
                "median_signed_percent": statistics.median([0, 150, 300]),
                "within_percent": 33.3,
            },
            "after": {
                "n": 3,
                "median_absolute_percent": 1,
                "median_signed_percent": 1,
                "within_percent": 100,
            },
            "paired": {"n": 3, "closer": 2},
        }
    ]
    assert report["yardstick"]["share_within_percent"] == 80


def test_the_table_says_the_same(walked: Walk) -> None:
    rows = table(walked)

    assert rows[0]["part"] == "tour"
    assert rows[0]["answers"] == "3"
    calories = next(row for row in rows if row["what"] == "calories")
    assert [calories[key] for key in ("name", "in", "answers", "middle", "smallest", "largest")] == [
        "Toasted oat rings",
        "kcal",
        "3",
        "375.0",
        "150.0",
        "600.0",
    ]
    assert calories["label serving"] == "150.0"
    fists = next(row for row in rows if row["what"] == "fists")
    assert (fists["middle"], fists["label serving"]) == ("2.5", "1.0")
    before, after, both = (row for row in rows if row["part"] == "practice")
    assert (before["round"], after["round"], both["round"]) == ("before", "after", "both rounds")
    assert (both["answers"], both["came closer"], both["middle error with sign, %"]) == ("3", "2", "")
    assert before["share within 25 %, %"] == "33.3"


@pytest.mark.parametrize("lang", LANGUAGES)
def test_the_table_is_in_the_language_asked_for(walked: Walk, lang: str) -> None:
    rows = table(walked, lang)

    assert list(rows[0])[:2] == (["part", "name"] if lang == "en" else ["parte", "nombre"])
    assert rows[-1]["name" if lang == "en" else "nombre"] == ("fist" if lang == "en" else "puño")


@pytest.mark.parametrize("start", ["=", "+", "-", "@"])
def test_no_cell_is_taken_for_a_formula(walk: Walk, start: str) -> None:
    evil = f'{start}HYPERLINK("x")'
    other = Walk.begin(walk.client, plan_json(stop_json(evil), title=evil))

    names = {row["name"] for row in table(other)}
    assert names == {f"'{evil}"}
    cells = [cell for row in table(other) for cell in row.values()]
    assert not any(cell.startswith(("=", "+", "-", "@", "\t", "\r")) for cell in cells)


@pytest.mark.parametrize(
    "text",
    [
        *(
            "=1",
            "+1",
            "-3",
            "@SUM(1)",
            "\t=1",
            "\r=1",
            "\n1",
            "\tcereal",
            "＝1",
            "＋1",
            "－1",
            "＠x",
            "﹣1",
            "−1",
        ),
        *(" =1", "\u200b=1", "\ufeff=1", "\u00a0=1", "\u202e=1", "  ＝1"),
    ],
)
def test_every_beginning_of_a_formula_is_made_text(text: str) -> None:
    assert _safe(text) == f"'{text}"


@pytest.mark.parametrize("value", ["cereal", "a=1", "1-2", "'=1", "", "½ cup", "🍎", -3, -3.5, 0])
def test_other_cells_and_numbers_of_ours_stay_as_they_are(value: object) -> None:
    assert _safe(value) == value


def test_negative_numbers_stay_numbers(walk: Walk) -> None:
    walk.practise(phone(), 120)

    assert table(walk)[-1]["middle error with sign, %"] == "-50.0"


def test_cooked_amounts_are_named_so(walk: Walk) -> None:
    walk.state("open", 1)
    walk.guess(phone(), amount(1, cooked=True), place=1)

    assert "fists cooked" in {row["what"] for row in table(walk)}
