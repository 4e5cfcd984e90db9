"""The Containerfile, as far as it can be tried without an engine that builds it."""

from __future__ import annotations

import fnmatch
import json
import os
import re
import subprocess
import sys
import tomllib

import pytest

from shelfcheck.settings import SETTINGS, load_settings
from tests.making import ROOT
from tests.test_serve import served

TEXT = (ROOT / ".deploy" / "Containerfile").read_text(encoding="utf-8").replace("\\\n", " ")
LINES = [line.split(None, 1) for line in TEXT.splitlines() if line and line[0] != "#"]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]


def told(word: str) -> list[str]:
    return [rest for first, rest in LINES if first == word]


ENVIRONMENT = dict(pair.split("=", 1) for pair in " ".join(told("ENV")).split())
SOURCES = [source for line in told("COPY") for source in line.split()[:-1]]


@pytest.mark.parametrize("source", SOURCES)
def test_what_is_copied_is_there_and_not_left_out(source: str) -> None:
    lines = (ROOT / ".dockerignore").read_text(encoding="utf-8").splitlines()
    kept = not fnmatch.fnmatch(source, lines[1])
    for line in lines:
        if line.startswith("!"):
            kept = kept or fnmatch.fnmatch(source, line[1:])

    assert (ROOT / source).exists()
    assert kept


def test_all_that_the_package_is_built_from_is_copied() -> None:
    build = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["hatch"]["build"]

    assert {*build["targets"]["wheel"]["only-include"], PROJECT["readme"]} <= set(SOURCES)


def test_every_setting_is_one_that_there_is_and_can_be_used() -> None:
    names = {f"SHELFCHECK_{setting.name.upper()}": setting.name for setting in SETTINGS}

    assert {"SHELFCHECK_HOST", "SHELFCHECK_PORT", "SHELFCHECK_DB"} <= set(ENVIRONMENT)
    load_settings({names[key]: value for key, value in ENVIRONMENT.items()})


def test_tours_are_kept_in_the_volume_by_somebody_who_is_not_root() -> None:
    [volume], [user] = told("VOLUME"), told("USER")

    assert f"sqlite:///{volume}/" in ENVIRONMENT["SHELFCHECK_DB"]
    assert f"useradd --system --uid {user} " in TEXT
    assert int(user) > 0
    assert re.search(rf"install --directory --owner shelfcheck --mode 0700 {volume}$", TEXT, re.MULTILINE)


def test_the_program_and_its_python_are_those_of_the_project() -> None:
    [base], [command] = told("FROM"), told("CMD")
    version = re.search(r"python:3\.(\d+)-slim", base)

    assert json.loads(command)[0] in PROJECT["scripts"]
    assert version is not None
    assert f">=3.{version[1]}" == PROJECT["requires-python"]  # what continuous integration runs
    assert told("EXPOSE") == [ENVIRONMENT["SHELFCHECK_PORT"]]


def test_the_health_check_tells_a_service_from_none() -> None:
    [check] = told("HEALTHCHECK")
    command = [sys.executable, *json.loads(check[check.index("[") :])[1:]]

    def run(port: str) -> int:
        environment = os.environ | {"SHELFCHECK_PORT": port}
        return subprocess.run(command, env=environment, stderr=subprocess.DEVNULL, check=False).returncode

    with served("--reads", "1") as (process, address):
        port = address.rpartition(":")[2]
        assert run(port) == 0
        process.kill()
        process.wait()
        assert run(port) != 0
