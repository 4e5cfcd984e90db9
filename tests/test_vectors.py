"""The shared vectors: Python answers them as they are stored, and the worked ones as their sources say."""

from __future__ import annotations

from typing import Any

import pytest

from tests.vectors.ask import ask
from tests.vectors.cases import vectors
from tests.vectors.make import answered, stored
from tests.vectors.worked import find

STORED = [(name, vector) for name, cases in stored().items() for vector in cases]
VECTORS = [pytest.param(vector, id=f"{name}-{vector['id']}") for name, vector in STORED]
WORKED = [pytest.param(vector, id=vector["id"]) for _, vector in STORED if "worked" in vector]


@pytest.mark.parametrize("vector", VECTORS)
def test_python_answers_as_stored(vector: dict[str, Any]) -> None:
    assert ask(vector)["answer"] == vector["expect"]


@pytest.mark.parametrize("vector", WORKED)
def test_a_worked_example_comes_out_as_its_source_or_arithmetic_says(vector: dict[str, Any]) -> None:
    answer = ask(vector)["answer"]
    for path, wanted in vector["worked"].items():
        bounds = wanted if isinstance(wanted, dict) else {"from": wanted, "to": wanted}
        assert bounds.get("from", 0) <= find(answer, path) <= bounds.get("to", float("inf")), path


def test_the_stored_vectors_are_those_of_the_script() -> None:
    assert stored() == answered(), "run `python -m tests.vectors.make` and read what changed"


def test_every_worked_example_names_its_source() -> None:
    assert all(vector["source"] and vector["how_known"] for vector in stored()["worked"])


def test_only_the_errors_are_errors() -> None:
    erring = {name for name, vector in STORED if "error" in vector["expect"]}

    assert erring == {"errors"}
    assert all("error" in vector["expect"] for vector in stored()["errors"])


def test_every_vector_has_a_name_of_its_own() -> None:
    for cases in vectors().values():
        names = [vector["id"] for vector in cases]
        assert sorted(set(names)) == sorted(names)
