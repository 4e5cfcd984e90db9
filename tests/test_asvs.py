"""The table of what the security standard asks names only tests that there are, and each point once."""

from __future__ import annotations

import ast
import re
from functools import cache

import pytest

from tests.making import ROOT

TABLE = (ROOT / ".deploy" / "ASVS.md").read_text(encoding="utf-8")
NAMED = sorted(set(re.findall(r"`(tests/[\w/]+\.py)::(\w+)`", TABLE)))
ROWS = [line.split(" | ") for line in TABLE.splitlines() if re.match(r"\| \d", line)]


@cache
def functions_of(path: str) -> set[str]:
    tree = ast.parse((ROOT / path).read_text(encoding="utf-8"))
    return {node.name for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)}


@pytest.mark.parametrize(("path", "name"), NAMED)
def test_a_test_that_is_named_exists(path: str, name: str) -> None:
    assert name in functions_of(path)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row[0].strip("| "))
def test_each_point_has_what_shows_it(row: list[str]) -> None:
    assert len(row) == 4
    assert "`tests/" in row[3]


def test_no_point_stands_twice() -> None:
    points = [point for row in ROWS for point in row[0].strip("| ").split(", ")]

    assert len(points) > 80
    assert len(set(points)) == len(points)
