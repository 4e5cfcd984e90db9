"""What `.deploy/README.md` and `CAPACITY.md` name is there."""

from __future__ import annotations

import re

import pytest

from shelfcheck.bootstrap import parse
from shelfcheck.settings import SETTINGS
from tests.making import ROOT

FOLDER = ROOT / ".deploy"
README = (FOLDER / "README.md").read_text(encoding="utf-8")
BOTH = README + (FOLDER / "CAPACITY.md").read_text(encoding="utf-8")


def test_every_file_of_the_folder_has_its_line_in_the_table() -> None:
    table = README[: README.index("## One machine")]
    named = set(re.findall(r"^\| [`\[]([\w.]+)[`\]]", table, re.MULTILINE))

    assert named == {path.name for path in FOLDER.iterdir() if path.is_file()} - {"README.md"}


@pytest.mark.parametrize("link", sorted(set(re.findall(r"\]\(([\w./]+)", BOTH))))
def test_every_link_leads_somewhere(link: str) -> None:
    assert (FOLDER / link).is_file()


def test_every_setting_that_is_named_is_one() -> None:
    known = {f"SHELFCHECK_{setting.name.upper()}" for setting in SETTINGS} | {"SHELFCHECK_NAME"}

    assert set(re.findall(r"SHELFCHECK_\w+", BOTH)) <= known


@pytest.mark.parametrize("module", sorted(set(re.findall(r"-m (tests\.[\w.]+)", BOTH))))
def test_every_bench_that_is_named_is_there(module: str) -> None:
    assert (ROOT / module.replace(".", "/")).with_suffix(".py").is_file()


@pytest.mark.parametrize("path", sorted(set(re.findall(r"(?:/opt/shelfcheck/|\s)(\.deploy/[\w.]+)", README))))
def test_every_file_that_is_used_is_there(path: str) -> None:
    assert (ROOT / path).is_file()


def test_setting_up_is_done_with_options_that_there_are() -> None:
    commands = re.findall(r"-m shelfcheck\.bootstrap (.+)", README)

    assert len(commands) == 2
    for command in commands:
        assert parse(command.split())[1] == []  # nothing is handed on
