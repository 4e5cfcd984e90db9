"""Seconds of ``shelfcheck eat`` on a JSON panel, against a Python that starts and imports json."""

from __future__ import annotations

import compileall
import os
import statistics
import subprocess
import sys
import time

from tests.making import ROOT, SAMPLES

BAR = 3.0
_ROUNDS = 25
_EAT = [sys.executable, "-m", "shelfcheck", "eat", str(SAMPLES / "fda_sample.json"), "2 fists"]
_PLAIN = [sys.executable, "-c", "import json"]


def measure() -> tuple[str, bool]:
    """Return a line with the ratio of the medians, and whether it is within the bar.

    The runs take turns, so that what else the machine does falls on both.
    """
    compileall.compile_dir(ROOT / "shelfcheck", quiet=2)
    for command in (_EAT, _PLAIN):
        _seconds(command)
    eat, plain = [], []
    for _ in range(_ROUNDS):
        eat.append(_seconds(_EAT))
        plain.append(_seconds(_PLAIN))
    ratio, least = statistics.median(eat) / statistics.median(plain), min(eat) / min(plain)
    line = (
        f"shelfcheck eat: {ratio:.2f} times import json ({1000 * statistics.median(eat):.0f} ms of "
        f"{1000 * statistics.median(plain):.0f} ms; by the least of each {least:.2f}), bar {BAR}"
    )
    return line, ratio <= BAR


def _seconds(command: list[str]) -> float:
    environment = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
    start = time.perf_counter()
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL, env=environment)
    return time.perf_counter() - start
