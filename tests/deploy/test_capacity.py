"""The sums of CAPACITY.md are those of the bench, from the figures that stand there."""

from __future__ import annotations

import re

from tests.bench.capacity import MEASURED, rows
from tests.making import ROOT

TEXT = (ROOT / ".deploy" / "CAPACITY.md").read_text(encoding="utf-8")


def test_every_sum_follows_from_what_was_measured() -> None:
    stands = dict(re.findall(r"^\| (.+) \| ([\d.]+) \|$", TEXT, re.MULTILINE))
    measured = {name: float(stands[told]) for name, told in MEASURED.items()}

    assert "\n".join(rows(measured)) in TEXT
