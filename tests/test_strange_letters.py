"""Letters and numbers that nobody means: as an amount, and through the command line from end to end."""

from __future__ import annotations

import contextlib
import io
import json
import os
import subprocess
import sys
import unicodedata
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from shelfcheck.amounts import amount_from, parse_amount
from shelfcheck.cli import main
from shelfcheck.errors import AmountError
from shelfcheck.words import LANGUAGES
from tests.making import SAMPLES, panel_json, sample
from tests.rough import ROUGH_PANEL
from tests.test_properties import read_or_refused

HUGE = ("9" * 100, "9" * 5000, "1/0", "0/0", "1e400", "-1", "nan", "inf", "0", "", "1_0", "0x10", "1/3")
LETTERS = (
    *(
        "\ud800",
        "\udfff",
        "\0",
        "\x1b[2J",
        "\u200b",
        "\u200f",
        "\u202e",
        "\u2066",
        "\ufeff",
        "\u0301",
        "\u20e3",
    ),
    *(
        "３",
        "٣",
        "۳",
        "३",
        "𝟛",
        "²",
        "⁴⁰⁰",
        "⅕",
        "Ⅳ",
        "½",
        "⁄",
        "٫",
        "٬",
        "ǆ",
        "İ",
        "ﬁ",
        "ς",
        "\U0001f44a\U0001f3fe",
    ),
    *(" ", "-", "\u2212", "\u2013", ".", ",", "/", "&", "'"),
)
WORDS = ("cups", "fist", "puños", "media", "and a half", "docena", "g", "crackers", "cooked", "10", "2")
MOVING = {"\0", "\x1b", "\x9b", "\x07", "\r", "\u202e", "\u2066"}
STRANGE = st.lists(
    st.sampled_from(LETTERS) | st.sampled_from(WORDS) | st.sampled_from(HUGE) | st.characters(), max_size=8
).map("".join)
NUMBERS = st.sampled_from(HUGE) | st.floats().map(str) | st.sampled_from(("45", "2300", "300")) | STRANGE
ARGUMENTS = st.fixed_dictionaries(
    {},
    optional={
        "--hands": st.tuples(st.sampled_from(("fist_ml", "thumb_ml", "")) | STRANGE, NUMBERS).map("=".join),
        "--meal-carbs": NUMBERS,
        "--day-sodium": NUMBERS,
        "--food": STRANGE | st.sampled_from(("rice", "oats")),
        "--coverage": st.sampled_from(("1", "2")) | NUMBERS,
        "--lang": st.sampled_from(LANGUAGES),
    },
).map(lambda said: [f"{name}={value}" for name, value in said.items()])
GOOD = st.sampled_from(("fda_sample", "white_rice", "peanuts")).map(sample)
NAMED = st.tuples(GOOD, STRANGE, STRANGE).map(
    lambda drawn: (
        drawn[0] | {"name": drawn[1]} | {"serving": drawn[0]["serving"] | {"household_unit": drawn[2]}}
    )
)
RAW = st.sampled_from((b"{", b"[" * 50_000, b'{"serving": ' + b"9" * 5000 + b"}", b"{\xff\xfe}", b"{\0"))


def run(*arguments: str) -> tuple[object, str, str]:
    """Return the exit status of a command, and what it said on each stream, in UTF-8 as most terminals."""
    said = [io.TextIOWrapper(io.BytesIO(), encoding="utf-8", write_through=True) for _ in "oe"]
    status: object
    with contextlib.redirect_stdout(said[0]), contextlib.redirect_stderr(said[1]):
        try:
            status = main(arguments)
        except SystemExit as ended:  # argparse, on options that are none
            status = ended.code
    out, err = (stream.buffer.getvalue().decode("utf-8") for stream in said)  # type: ignore[attr-defined]
    return status, out, err


def no_constant(name: str) -> None:
    raise AssertionError(f"{name} is no JSON")


@settings(max_examples=60, suppress_health_check=list(HealthCheck))
@given(
    panel=NAMED | GOOD | ROUGH_PANEL,
    raw=st.none() | st.none() | st.none() | RAW,
    amount=STRANGE | st.sampled_from(("2 fists", "1 cup", "28 g")),
    options=ARGUMENTS,
    cooked=st.booleans(),
    as_json=st.booleans(),
)
def test_any_panel_amount_and_option_end_in_numbers_or_a_sentence(
    tmp_path: Path,
    *,
    panel: Any,
    raw: bytes | None,
    amount: str,
    options: list[str],
    cooked: bool,
    as_json: bool,
) -> None:
    file = tmp_path / "panel.json"
    file.write_bytes(json.dumps(panel).encode() if raw is None else raw)
    boxes = ["--cooked"] * cooked + ["--json"] * as_json

    status, out, err = run("eat", *options, *boxes, "--", str(file), amount)

    assert status in (0, 2)
    assert "Traceback" not in err
    assert (out if status == 0 or (as_json and not err) else err).strip()
    if as_json and not err:
        told = json.loads(out, parse_constant=no_constant)
        assert ("error" in told) == (status == 2)
    if not as_json and not err.startswith("usage:"):  # there argparse repeats what was typed
        assert not MOVING.intersection(out + err)


@given(STRANGE, st.sampled_from(LANGUAGES))
@example("9" * 100 + " cups", "en")
@example("1/0 cup", "es")
@example("1\u20e30 cups", "en")
def test_an_amount_in_strange_letters_is_one_that_can_be_eaten_or_is_refused(text: str, lang: str) -> None:
    assert read_or_refused(text, lang).measure


@pytest.mark.parametrize("digits", ["3", "３", "٣", "۳", "३", "𝟛", "\u200f3", "3\u0301"])
def test_a_digit_of_any_script_is_that_digit(digits: str) -> None:
    assert parse_amount(f"{digits} cups") == (3, "cup", False)


@pytest.mark.parametrize(
    "text",
    [
        *(
            "2² cups",
            "10⁴⁰⁰ cups",
            "2⅕ cups",
            "Ⅳ cups",
            "٣٫٥ cups",
            "1٬000 g",
            "1\u200b0 cups",
            "\u22122 cups",
        ),
        *("2\u20133 cups", "1/0 cup", "0/0 cup", "9" * 60 + " cups", f"1/{'9' * 400} cup", "1e400 cups"),
    ],
)
def test_a_number_that_could_be_taken_for_another_is_refused(text: str) -> None:
    with pytest.raises(AmountError):
        parse_amount(text)


@pytest.mark.parametrize("text", ["2 puños", "medio puño", "2 puños y medio"])
def test_accents_parted_from_their_letters_are_read(text: str) -> None:
    """As some systems copy them."""
    parted = unicodedata.normalize("NFD", text)

    assert parted != text
    assert parse_amount(parted, "es") == parse_amount(text, "es")
    assert parse_amount(text, "es").measure.endswith("fist")
    assert amount_from(2, unicodedata.normalize("NFD", "puños")).measure == "fist"
    assert amount_from(2, unicodedata.normalize("NFD", "piñones")) == amount_from(2, "piñones")


def test_a_panel_from_somebody_else_cannot_move_the_cursor(tmp_path: Path) -> None:
    file = tmp_path / "panel.json"
    name = "Oats\x1b[2J\x07\r\u202eevil\x9b1A"
    file.write_text(json.dumps(panel_json("1 cup/40 g", {"energy": 150}, name=name)), encoding="utf-8")

    told = [run("read", str(file)), run("eat", str(file), "1 cup"), run("compare", *[str(file)] * 2, "1 cup")]
    refused = run("eat", str(file), "\x1b]0;evil\x07")

    assert [status for status, _, _ in (*told, refused)] == [0, 0, 0, 2]
    for _, out, err in (*told, refused):
        assert all(line.isprintable() for line in (out + err).splitlines())
    assert all("Oats\ufffd[2J" in out for _, out, _ in told)


def test_a_name_that_no_file_can_have_is_refused() -> None:
    for name in ("a\0b", "\ud800"):
        status, _, err = run("read", name)
        assert (status, bool(err.strip())) == (2, True)


def test_json_is_json_on_a_terminal_without_accents(tmp_path: Path) -> None:
    file = tmp_path / "panel.json"
    file.write_text(json.dumps(panel_json("1 cup/40 g", {"energy": 150}, name="Piñón \ud800")))
    done = subprocess.run(
        [sys.executable, "-m", "shelfcheck", "eat", str(file), "1 cup", "--json", "--lang", "es"],
        env=os.environ | {"PYTHONIOENCODING": "latin-1"},
        capture_output=True,
        check=True,
    )

    told = json.loads(done.stdout.decode("ascii"))
    assert any("ñ" in line or "ó" in line or "í" in line for line in told["cautions"] + told["working"])


def test_every_sample_is_printed_as_it_was() -> None:
    status, out, _ = run("eat", str(SAMPLES / "fda_sample.json"), "2 fists", "--lang", "es")

    assert status == 0
    assert "\ufffd" not in out
    assert "puños" in out
