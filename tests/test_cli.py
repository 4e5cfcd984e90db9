"""The command line: what it prints and how it ends."""

import io
import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from shelfcheck import __version__
from shelfcheck.cli import main
from shelfcheck.measures import measures
from tests.making import SAMPLES, panel_json

GRANOLA = str(SAMPLES / "fda_sample.json")
COMMANDS = ("read", "eat", "compare", "measures", "serve", "doctor")


def shelfcheck(*arguments: str, given: bytes = b"", **environment: str) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(
        [sys.executable, "-m", "shelfcheck", *arguments],
        input=given,
        capture_output=True,
        check=False,
        env=os.environ | environment,
    )


def run_json(capsys: pytest.CaptureFixture[str], *arguments: str, status: int = 0) -> Any:
    assert main([*arguments, "--json"]) == status
    captured = capsys.readouterr()
    assert captured.err == ""
    return json.loads(captured.out)


def put(folder: Path, content: Any, name: str = "panel.json") -> str:
    path = folder / name
    path.write_text(content if isinstance(content, str) else json.dumps(content), encoding="utf-8")
    return str(path)


def test_two_fists_of_the_sample_cereal_are_eaten_in_a_process_of_its_own() -> None:
    run = shelfcheck("eat", GRANOLA, "2 fists", "--json")

    assert run.returncode == 0
    assert run.stderr == b""
    assert json.loads(run.stdout)["nutrients"]["energy"]["value"] == 690


def test_a_portion_is_printed_as_a_table_with_the_working(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["eat", GRANOLA, "2 fists"]) == 0
    lines = capsys.readouterr().out.splitlines()

    assert lines[0] == "Honey Oat Granola, 2 fists"
    assert lines[1] == "3 (2.1 to 3.9) label servings, 165 g (115 to 215)"
    assert any(line.split()[:3] == ["calories", "230", "690"] for line in lines)
    assert "  2 fists = 2 cups" in lines
    assert "insulin" in lines[-1]


def test_a_panel_comes_from_standard_input_too() -> None:
    content = Path(GRANOLA).read_bytes()

    run = shelfcheck("eat", "-", "dos puños", "--lang", "es", given=content)
    assert run.returncode == 0
    assert "3 (2.1 a 3.9)" in run.stdout.decode()
    assert shelfcheck("read", "-", "--json", given=content).returncode == 0


def test_options_reach_the_portion(capsys: pytest.CaptureFixture[str]) -> None:
    rice = str(SAMPLES / "white_rice.json")
    options = ["--cooked", "--food", "arroz", "--meal-carbs", "45", "--day-sodium", "1500", "--coverage", "2"]

    told = run_json(
        capsys,
        "eat",
        rice,
        "1 fist",
        *options,
        "--hands",
        "fist_ml=300,thumb_ml=20",
        "--hands",
        "palmful_g=30",
    )
    assert told["amount"]["cooked"] is True
    assert told["food"] == "rice_white"
    assert told["coverage"] == 2
    assert told["grams"]["value"] == 198  # 158 g a cup, 300 mL
    assert told["meal_carbohydrate_percent"]["value"] > 0


def test_the_panels_own_food_is_taken_where_none_is_named(capsys: pytest.CaptureFixture[str]) -> None:
    assert run_json(capsys, "eat", str(SAMPLES / "almonds.json"), "1 fist")["food"] == "almonds"


def test_a_typed_panel_is_checked_and_its_doubts_are_printed(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    doubtful = put(tmp_path, panel_json("0.667 cup/55 g", {"sodium": {"value": 160, "percent_dv": 17}}))

    assert main(["read", doubtful]) == 0
    out = capsys.readouterr().out
    assert "? sodium" in out
    assert "Look again at:" in out
    assert run_json(capsys, "read", doubtful)["nutrients"]["sodium"]["state"] == "check"


def test_a_doubt_about_the_second_column_is_printed_by_the_nutrients_name(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    column = {"columns": {"per_container": {"fat": 60}}, "servings_per_container": 2}
    doubtful = put(tmp_path, panel_json("1 cup/240 ml", {"fat": 3}, **column))

    assert main(["read", doubtful]) == 0
    assert capsys.readouterr().out.count("? fat: ") == 2


@pytest.mark.parametrize("name", sorted(path.stem for path in SAMPLES.glob("*.json")))
def test_every_sample_is_printed(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["read", str(SAMPLES / f"{name}.json"), "--lang", "es"]) == 0
    assert len(capsys.readouterr().out.splitlines()) > 5


def test_foods_are_compared_least_first(capsys: pytest.CaptureFixture[str]) -> None:
    panels = [str(SAMPLES / f"{name}.json") for name in ("fda_sample", "toasted_oat_rings", "bran_flakes")]

    portions = run_json(capsys, "compare", *panels, "2 fists", "--sort", "energy")["portions"]
    energies = [portion["nutrients"]["energy"]["value"] for portion in portions]
    assert energies == sorted(energies)
    assert portions[-1]["name"] == "Honey Oat Granola"
    assert main(["compare", *panels, "2 fists"]) == 0
    assert "2 fists of each" in capsys.readouterr().out


def test_the_measures_are_listed_for_these_hands(capsys: pytest.CaptureFixture[str]) -> None:
    listed = run_json(capsys, "measures", "--hands", "fist_ml=300")["measures"]

    assert [measure["id"] for measure in listed] == list(measures())
    assert listed[0]["holds"][0] == {"unit": "ml", "amount": 300, "u": 0.15}
    assert main(["measures", "--lang", "es"]) == 0
    assert "puño" in capsys.readouterr().out


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_explains_itself(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main([command, "--help"])

    assert ended.value.code == 0
    out = capsys.readouterr().out
    assert out.startswith(f"usage: shelfcheck {command}")
    assert "--help" in out


def test_the_program_names_its_commands_and_its_version(capsys: pytest.CaptureFixture[str]) -> None:
    for option in ("--help", "--version"):
        with pytest.raises(SystemExit) as ended:
            main([option])
        assert ended.value.code == 0

    out = capsys.readouterr().out
    assert all(command in out for command in COMMANDS)
    assert f"shelfcheck {__version__}" in out


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (["read", "no_such_file.json"], "no_such_file.json cannot be opened: no such file"),
        (["read", "."], "cannot be opened"),
        (["eat", GRANOLA, "-1 fists"], "does not say how much of what"),
        (["eat", GRANOLA, "0 cups"], "more than 0"),
        (["eat", GRANOLA, "2 buckets"], 'no measure called "bucket"'),
        (["eat", GRANOLA, "1 fist", "--food", "unicorn"], 'no food called "unicorn"'),
        (["eat", GRANOLA, "1 fist", "--hands", "fist_ml=9000"], "hands.fist_ml: Write a size from 80 to 700"),
        (["eat", GRANOLA, "1 fist", "--hands", "fist"], "hands.fist: Write a name and a number"),
        (["eat", GRANOLA, "1 fist", "--meal-carbs", "nan"], "from 5 to 300"),
        (["measures", "--hands", "nose_ml=3"], 'no hand measure "nose_ml"'),
        (["compare", GRANOLA, "1 fist"], "Name two or more panels"),
    ],
)
def test_bad_input_ends_with_2_and_a_sentence_on_what_to_do(
    arguments: list[str], sentence: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(arguments) == 2
    captured = capsys.readouterr()

    assert captured.out == ""
    assert sentence in captured.err
    assert "Traceback" not in captured.err


@pytest.mark.parametrize(
    "content",
    [
        "{",
        "[1, 2",
        "[]",
        "{}",
        '{"serving": 5}',
        "{" * 100_000,
        '{"a": ' * 50_000,
        '{"x": ' + "9" * 5000 + "}",
        '{"a"}',
    ],
)
def test_a_file_that_is_no_panel_ends_with_2(
    content: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["read", put(tmp_path, content)]) == 2
    assert len(capsys.readouterr().err) < 500


def test_all_faults_of_a_panel_are_printed_at_once(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    faulty = put(tmp_path, panel_json("0 cup/-5 g", {"fat": "8", "caffeine": 3, "sodium": 1e9}))

    assert main(["read", faulty]) == 2
    err = capsys.readouterr().err
    for path in (
        "serving.household_amount",
        "serving.metric_amount",
        "nutrients.fat",
        "nutrients.caffeine",
        "nutrients.sodium",
    ):
        assert f"  {path}: " in err


def test_all_faults_of_a_request_are_told_at_once(capsys: pytest.CaptureFixture[str]) -> None:
    bad = ["eat", GRANOLA, "2-3 fists", "--food", "unicorn", "--hands", "fist_ml=1", "--meal-carbs", "1"]

    fields = run_json(capsys, *bad, status=2)["error"]["fields"]
    assert set(fields) == {"amount", "food", "hands.fist_ml", "plan.meal_carbohydrate_g"}


def test_an_error_is_json_when_json_is_asked_for(capsys: pytest.CaptureFixture[str]) -> None:
    error = run_json(capsys, "eat", GRANOLA, "1 fist", "--food", "unicorn", status=2)["error"]

    assert error["code"] == "unknown_food"
    assert set(error) == {"code", "message", "fields"}


def test_more_food_than_the_serving_weighs_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    heavy = put(tmp_path, panel_json("1 tbsp/15 g", {"fat": 150}))

    assert main(["eat", heavy, "1 thumb"]) == 2
    assert "more than the serving of 15.5 g" in capsys.readouterr().err


def test_sentences_are_in_the_language_asked_for(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["eat", GRANOLA, "1 fist", "--food", "unicornio", "--lang", "es"]) == 2
    assert "no hay ningún alimento" in capsys.readouterr().err


def test_without_any_reader_of_print_a_photo_ends_with_3_and_says_that_typing_works(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("shelfcheck.reading.engines.LIBRARIES", ("no_such_library",))
    monkeypatch.setattr("pytesseract.pytesseract.tesseract_cmd", "no-such-program")

    assert main(["read", str(SAMPLES / "fda_sample.png")]) == 3
    captured = capsys.readouterr()
    assert captured.out == ""
    assert "type" in captured.err


def test_a_picture_that_is_none_ends_with_2(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["read", put(tmp_path, "no picture", "panel.png")]) == 2
    assert capsys.readouterr().err.strip()


def test_a_terminal_without_accents_still_gets_its_answer() -> None:
    run = shelfcheck("measures", "--lang", "es", PYTHONIOENCODING="ascii", PYTHONUTF8="0")

    assert run.returncode == 0
    assert b"pu\\xf1o" in run.stdout


def test_a_name_that_no_text_holds_is_told_without_a_trace() -> None:
    run = shelfcheck("eat", GRANOLA, "1 fist", "--food", os.fsdecode(b"\xff\xfe"), "--json")

    assert run.returncode == 2
    assert json.loads(run.stdout)["error"]["code"] == "unknown_food"


def test_a_reader_that_hangs_up_is_no_error() -> None:
    with subprocess.Popen(
        [sys.executable, "-m", "shelfcheck", "measures", "--json"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    ) as run:
        assert run.stdout is not None
        run.stdout.close()
        errors = run.stderr.read() if run.stderr else b""

    assert errors == b""
    assert run.returncode == 0


def test_the_core_needs_nothing_but_the_standard_library() -> None:
    program = (
        "import sys; from shelfcheck.cli import main; main(sys.argv[1:]); "
        "heavy = {'flask', 'marshmallow', 'pint', 'PIL', 'numpy', 'pytesseract', 'waitress', 'dataclasses'}; "
        "print(sorted(heavy & set(sys.modules)), file=sys.stderr)"
    )

    run = subprocess.run(
        [sys.executable, "-c", program, "eat", GRANOLA, "2 fists", "--json"],
        capture_output=True,
        text=True,
        check=True,
    )
    assert run.stderr.strip() == "[]"


def test_ctrl_c_ends_quietly(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    class Interrupted(io.RawIOBase):
        @property
        def buffer(self) -> io.RawIOBase:
            raise KeyboardInterrupt

    monkeypatch.setattr(sys, "stdin", Interrupted())

    assert main(["read", "-"]) == 130
    assert capsys.readouterr().err == ""
