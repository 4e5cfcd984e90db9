"""Asks whether a known vulnerability is in the libraries that an installation holds.

Standard library only, for ``bootstrap`` uses it; pip-audit does the asking. What could not be asked is said
and never passes for audited: without a network, and where an index knows nothing of a library, pip-audit
itself ends as if all were well.
"""

from __future__ import annotations

import json
import subprocess
import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

if TYPE_CHECKING:  # not at run time: bootstrap must start in any Python, to say that it is too old
    Runner = Callable[[Sequence[str]], int]

SECONDS = 15
"""Longest wait for all answers together, and then for none. Judgement."""
_TRY_SECONDS = 4


class Audit(NamedTuple):
    """How many libraries were asked about, which were not, and what is known of the others."""

    audited: int
    left_out: tuple[str, ...]
    known: tuple[str, ...]

    @property
    def said(self) -> tuple[str, ...]:
        """The result in sentences."""
        if not self.audited:
            return ("NOT audited: the list of known vulnerabilities could not be asked. Try with a network.",)
        left_out = (f"NOT audited: {', '.join(self.left_out)}.",) if self.left_out else ()
        return (*self.known, f"Audited: {self.audited} libraries, {len(self.known)} vulnerable.", *left_out)


def bounded(command: Sequence[str]) -> int:
    """Run a command without its output, for no longer than ``SECONDS``; return its status, 1 without one."""
    try:
        done = subprocess.run(command, check=False, capture_output=True, timeout=SECONDS)
    except (OSError, subprocess.TimeoutExpired):
        return 1
    return done.returncode


def audit(python: str, pinned: Path, run: Runner = bounded) -> Audit:
    """Return what is known of the libraries in the file ``pinned``.

    Args:
        python: the Python that has pip-audit.
        pinned: exact versions, one a line.
        run: runs pip-audit. Its status tells too little and is not looked at.
    """
    with tempfile.TemporaryDirectory() as folder:
        report = Path(folder, "report.json")
        run(
            [
                *(python, "-m", "pip_audit", "--requirement", str(pinned), "--no-deps", "--disable-pip"),
                *("--format", "json", "--output", str(report), "--progress-spinner", "off"),
                *("--timeout", str(_TRY_SECONDS)),
            ]
        )
        try:
            found = json.loads(report.read_bytes())["dependencies"]
        except (OSError, ValueError, KeyError):
            return Audit(0, (), ())
    asked = [each for each in found if "vulns" in each]
    left_out = tuple(each["name"] for each in found if "vulns" not in each)
    return Audit(len(asked), left_out, tuple(_said(each) for each in asked if each["vulns"]))


def _said(library: dict[str, Any]) -> str:
    names = ", ".join(each["id"] for each in library["vulns"])
    mended = sorted({version for each in library["vulns"] for version in each.get("fix_versions", ())})
    advice = f"take {' or '.join(mended)}" if mended else "no release mends it yet"
    return f"VULNERABLE: {library['name']} {library['version']} ({names}); {advice}."
