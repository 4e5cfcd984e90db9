"""Writes the shared vectors, given -> expect, from Python's answers: ``python -m tests.vectors.make``.

Run it after a change that is meant to alter an answer or a sentence, and read the difference.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from tests.vectors.ask import ask
from tests.vectors.cases import vectors

FOLDER = Path(__file__).parent


def answered() -> dict[str, list[dict[str, Any]]]:
    """Return every vector with Python's answer under ``expect``, by the name of its file."""
    return {name: [answer(vector) for vector in cases] for name, cases in vectors().items()}


def answer(vector: dict[str, Any]) -> dict[str, Any]:
    """Return the vector with Python's answer, as JSON keeps it."""
    plain: dict[str, Any] = json.loads(json.dumps({**vector, "expect": ask(vector)["answer"]}))
    return plain


def stored() -> dict[str, list[dict[str, Any]]]:
    """Return every vector as it is kept, by the name of its file."""
    files = sorted(FOLDER.glob("*.json"))
    return {path.stem: json.loads(path.read_text(encoding="utf-8")) for path in files}


def main() -> None:
    """Write each file, one vector a line so that a changed answer shows as a changed line."""
    for name, cases in answered().items():
        lines = ",\n".join(json.dumps(vector, ensure_ascii=False) for vector in cases)
        (FOLDER / f"{name}.json").write_text(f"[\n{lines}\n]\n", encoding="utf-8")


if __name__ == "__main__":
    main()
