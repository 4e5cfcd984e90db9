"""The page's arithmetic against Python's: the stored vectors, and ten thousand random cases.

One node answers them all. Answers must be equal to the letter; numbers before rounding within 1e-9.
"""

from __future__ import annotations

import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.vectors.ask import ask
from tests.vectors.make import stored
from tests.vectors.node import ask_javascript, node, page_copy
from tests.vectors.random_cases import random_cases

RANDOM_CASES = 10_000
SEED = 1906
RELATIVE = 1e-9
SHOWN = 5
PARSE_JS = """const { readFileSync } = require("node:fs"), { SourceTextModule } = require("node:vm");
for (const identifier of process.argv.slice(1))
  new SourceTextModule(readFileSync(identifier, "utf8"), { identifier });"""
Json = dict[str, Any]
Pairs = dict[str, list[tuple[Json, Json, Json]]]


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return page_copy(tmp_path_factory.mktemp("page"))


@pytest.fixture(scope="module")
def pairs(page: Path) -> Pairs:
    """Each case with Python's and JavaScript's answer, of the ``stored`` vectors and ``random`` cases."""
    vectors = [vector for cases in stored().values() for vector in cases]
    groups = {"stored": vectors, "random": random_cases(RANDOM_CASES, SEED)}
    answers = iter(ask_javascript([case for group in groups.values() for case in group], page))
    return {name: [(case, ask(case), next(answers)) for case in group] for name, group in groups.items()}


def test_every_module_of_the_page_parses(page: Path) -> None:
    assert parse(page) == ""
    (page / "broken.js").write_text("export const one = ;")
    assert "broken.js" in parse(page)
    (page / "broken.js").unlink()


def parse(page: Path) -> str:
    """Return what node has against the modules in a folder."""
    paths = [str(path) for path in page.rglob("*.js")]
    command = [node(), "--no-warnings", "--experimental-vm-modules", "-e", PARSE_JS, *paths]
    return subprocess.run(command, capture_output=True, text=True, check=False).stderr


def test_javascript_answers_the_vectors_as_stored(pairs: Pairs) -> None:
    unequal = [case["id"] for case, _, answer in pairs["stored"] if answer["answer"] != case["expect"]]

    assert unequal == []


@pytest.mark.parametrize("group", ["stored", "random"])
def test_javascript_and_python_answer_alike(pairs: Pairs, group: str) -> None:
    unequal = []
    for case, python, other in pairs[group]:
        found = [*differences(python["answer"], other["answer"], "answer")]
        found += differences(python.get("unrounded"), other.get("unrounded"), "unrounded", RELATIVE)
        if found:
            unequal.append((found[:SHOWN], case["given"]))

    assert len(pairs[group]) >= (RANDOM_CASES if group == "random" else 1)
    assert not unequal, f"{len(unequal)} of {len(pairs[group])} cases differ; the first: {unequal[:SHOWN]}"


def test_random_cases_reach_every_kind_of_answer(pairs: Pairs) -> None:
    """A generator gone wrong could ask ten thousand times for the same error."""
    answers = [python["answer"] for _, python, _ in pairs["random"]]
    codes = {answer["error"]["code"] for answer in answers if "error" in answer}
    worked = [answer for answer in answers if "servings" in answer]

    assert codes == {"bad_amount", "invalid_input", "no_bridge", "unknown_food", "unknown_measure"}
    assert len(worked) > RANDOM_CASES / 3
    assert sum("faults" in answer for answer in answers) > RANDOM_CASES / 100
    assert sum(bool(answer.get("panel", {}).get("doubts")) for answer in answers) > RANDOM_CASES / 100


def differences(one: Any, other: Any, path: str, relative: float = 0.0) -> Iterator[str]:
    """Yield each place where two JSON values differ, numbers by more than ``relative``."""
    if isinstance(one, dict) and isinstance(other, dict):
        for key in {**one, **other}:
            yield from differences(
                one.get(key, "absent"), other.get(key, "absent"), f"{path}.{key}", relative
            )
    elif isinstance(one, list) and isinstance(other, list) and len(one) == len(other):
        for place, (left, right) in enumerate(zip(one, other, strict=True)):
            yield from differences(left, right, f"{path}[{place}]", relative)
    elif _is_number(one) and _is_number(other):
        if abs(one - other) > relative * max(abs(one), abs(other)):
            yield f"{path}: {one!r} in Python, {other!r} in JavaScript"
    elif one != other or isinstance(one, bool) != isinstance(other, bool):
        yield f"{path}: {one!r} in Python, {other!r} in JavaScript"


def _is_number(value: Any) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool)
