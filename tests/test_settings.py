"""Settings: one table, taken from options, the environment or the default, and every one documented."""

import subprocess
import sys
import types

import pytest

from shelfcheck.settings import SETTINGS, load_settings
from tests.making import ROOT

NAMES = [setting.name for setting in SETTINGS]


@pytest.fixture(scope="module")
def serve_help() -> str:
    run = subprocess.run(
        [sys.executable, "-m", "shelfcheck", "serve", "--help"], capture_output=True, text=True, check=True
    )
    return " ".join(run.stdout.split())


@pytest.mark.parametrize("setting", SETTINGS, ids=NAMES)
def test_every_setting_is_in_the_readme_with_its_default(setting: types.SimpleNamespace) -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    row = next(
        line for line in readme.splitlines() if line.startswith(f"| `--{setting.name.replace('_', '-')}` |")
    )
    default = row.split("|")[2].strip()

    if setting.name == "reads":
        assert default == "number of cores"
    elif setting.default == "":
        assert default == ""
    else:
        assert type(setting.default)(default) == setting.default


@pytest.mark.parametrize("setting", SETTINGS, ids=NAMES)
def test_every_setting_is_told_by_help_with_its_default(
    setting: types.SimpleNamespace, serve_help: str
) -> None:
    assert (
        f"--{setting.name.replace('_', '-')} VALUE {setting.help} (default {setting.default})" in serve_help
    )


def test_no_setting_in_the_readme_is_unknown() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    table = readme[readme.index("## Settings") : readme.index("## Limits")]
    told = [line.split("`")[1] for line in table.splitlines() if line.startswith("| `--")]

    assert told == ["--" + name.replace("_", "-") for name in NAMES]


def test_a_setting_is_as_given_else_from_the_environment_else_its_default(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.delenv("SHELFCHECK_PORT", raising=False)

    assert load_settings()["port"] == 8000
    monkeypatch.setenv("SHELFCHECK_PORT", "9000")
    assert load_settings()["port"] == 9000
    assert load_settings({"port": 9001})["port"] == 9001
    assert load_settings({"port": None})["port"] == 9000


def test_every_setting_has_the_type_of_its_default(monkeypatch: pytest.MonkeyPatch) -> None:
    for setting in SETTINGS:
        monkeypatch.setenv(f"SHELFCHECK_{setting.name.upper()}", "7")

    values = load_settings()
    assert {name: type(value) for name, value in values.items()} == {
        s.name: type(s.default) for s in SETTINGS
    }
    assert values["read_seconds"] == 7


def test_a_setting_that_is_no_number_is_named() -> None:
    with pytest.raises(ValueError, match='The setting port must be a number, not "eighty"'):
        load_settings({"port": "eighty"})


@pytest.mark.parametrize(
    ("name", "value"), [("threads", 0), ("reads", -1), ("port", -1), ("read_seconds", "nan")]
)
def test_a_setting_below_its_least_is_named(name: str, value: object) -> None:
    with pytest.raises(ValueError, match=f"The setting {name} must be at least"):
        load_settings({name: value})


def test_every_limit_is_above_nothing() -> None:
    assert all(s.default > 0 for s in SETTINGS if isinstance(s.default, (int, float)))
