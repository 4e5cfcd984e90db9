"""The page's modules in node: a copy that node takes for modules, and their answers to cases."""

from __future__ import annotations

import json
import shutil
import subprocess
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from shelfcheck import data
from shelfcheck.service import joined
from tests.making import ROOT

_SECONDS = 120


def node() -> str:
    """Return the node on PATH, else the one inside the playwright package."""
    found = shutil.which("node")
    if found:
        return found
    from playwright._impl._driver import compute_driver_executable

    return str(compute_driver_executable()[0])


def page_copy(folder: Path) -> Path:
    """Return a copy of the page and its facts in ``folder``.

    A package.json is beside it, without which node may misread it.
    """
    for part in ("modules", "vendor"):
        shutil.copytree(ROOT / "web" / part, folder / part)
    (folder / "facts.json").write_text(joined.facts(Path(data.FOLDER)), encoding="utf-8")
    (folder / "package.json").write_text('{"type": "module"}', encoding="utf-8")
    return folder


def ask_javascript(cases: Iterable[dict[str, Any]], page: Path) -> list[Any]:
    """Return the answer of the page's modules to each case, ``{"ask", "given"}``, from one node."""
    asked = [json.dumps({"ask": case["ask"], "given": case["given"]}) for case in cases]
    command = [
        node(),
        str(ROOT / "tests" / "vectors" / "run.mjs"),
        str(page / "modules"),
        str(page / "facts.json"),
    ]
    done = subprocess.run(
        command,
        input="\n".join(asked),
        capture_output=True,
        encoding="utf-8",
        check=False,
        timeout=_SECONDS,
    )
    assert done.returncode == 0, done.stderr
    answers = [json.loads(line) for line in done.stdout.split("\n")]
    assert len(answers) == len(asked)
    return answers
