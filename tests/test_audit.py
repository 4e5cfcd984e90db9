"""What is known of the libraries: told apart from what could not be asked."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest

from shelfcheck import audit
from shelfcheck.audit import Audit

CLEAN = {"name": "clean", "version": "1.0", "vulns": []}
SICK = {
    "name": "sick",
    "version": "2.0",
    "vulns": [
        {"id": "X-1", "fix_versions": ["2.1", "3.0"], "aliases": [], "description": ""},
        {"id": "X-2", "fix_versions": ["2.1"], "aliases": [], "description": ""},
    ],
}
HOPELESS = {"name": "hopeless", "version": "1", "vulns": [{"id": "X-3", "fix_versions": []}]}
UNKNOWN = {"name": "unknown", "skip_reason": "Dependency not found and could not be audited"}


def audited(tmp_path: Path, written: str | None, status: int = 0) -> Audit:
    def run(command: Sequence[str]) -> int:
        if written is not None:
            Path(command[command.index("--output") + 1]).write_text(written)
        return status

    return audit.audit("python", tmp_path / "pinned.txt", run)


def report(*found: dict[str, Any]) -> str:
    return json.dumps({"dependencies": found, "fixes": []})


@pytest.mark.parametrize(
    ("written", "status", "expected"),
    [
        (report(CLEAN, CLEAN), 0, Audit(2, (), ())),
        (report(CLEAN, SICK), 1, Audit(2, (), ("VULNERABLE: sick 2.0 (X-1, X-2); take 2.1 or 3.0.",))),
        (report(HOPELESS), 1, Audit(1, (), ("VULNERABLE: hopeless 1 (X-3); no release mends it yet.",))),
        (report(CLEAN, UNKNOWN), 0, Audit(1, ("unknown",), ())),
        (report(UNKNOWN), 0, Audit(0, ("unknown",), ())),
        (report(), 0, Audit(0, (), ())),
        (None, 1, Audit(0, (), ())),
        (None, 0, Audit(0, (), ())),
        ("", 1, Audit(0, (), ())),
        ('{"dependencies', 1, Audit(0, (), ())),
    ],
)
def test_what_is_known_goes_by_the_report_and_never_by_the_status_alone(
    tmp_path: Path, written: str | None, status: int, expected: Audit
) -> None:
    assert audited(tmp_path, written, status) == expected


def test_what_was_not_asked_is_said_and_never_passes_for_audited(tmp_path: Path) -> None:
    [nothing] = audited(tmp_path, report(UNKNOWN)).said
    some = audited(tmp_path, report(CLEAN, UNKNOWN)).said

    assert nothing.startswith("NOT audited")
    assert some == ("Audited: 1 libraries, 0 vulnerable.", "NOT audited: unknown.")


def test_asking_takes_no_longer_than_its_limit(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(audit, "SECONDS", 0.2)

    assert audit.bounded([sys.executable, "-c", "import time; time.sleep(60)"]) == 1


def test_a_program_that_is_not_there_is_a_failure_and_a_status_is_handed_on() -> None:
    assert audit.bounded(["no-such-program-at-all"]) == 1
    assert audit.bounded([sys.executable, "-c", "raise SystemExit(3)"]) == 3


def test_the_tool_takes_the_options_that_it_is_given(tmp_path: Path) -> None:
    """Nothing is asked of anybody: the list holds no library."""
    pinned = tmp_path / "pinned.txt"
    pinned.write_text("# none\n")

    statuses = []

    def run(command: Sequence[str]) -> int:
        statuses.append(subprocess.call(command, timeout=30))
        assert Path(command[command.index("--output") + 1]).exists()
        return statuses[-1]

    assert audit.audit(sys.executable, pinned, run) == Audit(0, (), ())
    assert statuses == [0]
