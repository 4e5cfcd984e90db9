"""How well and how fast fresh random labels are read: ``python -m tests.bench.reading [PER_LAYOUT [SEED]]``.

Accuracy is by layout; speed is against one plain pass of ``tesseract`` over the same picture, taken in turn.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path
from random import Random
from typing import Any

from sample_labels.invent import lawful_panel, random_style
from sample_labels.render import LAYOUTS, render_html, shoot
from shelfcheck.panel_json import panel_to_json
from shelfcheck.reading import read_panel
from tests.reading.judging import counts, judge

RIGHT_BAR, RATIO_BAR = 0.98, 4.0
_SMALLEST, _LARGEST = 3.0, 6.5
"""Pixels per printer's point: 8-point print with capitals of 17 to 37 px."""
_DARK = ({"ink": "#f4efe6", "paper": "#3b2217", "pack": "#444"}, {"ink": "#1a2a6b", "paper": "#fff8e0"})


def measure(per_layout: int = 1, seed: int = 11) -> tuple[str, bool]:
    """Return a table by layout with the ratio of times, and whether all is within the bars."""
    by_layout: dict[str, Counter[str]] = {layout: Counter() for layout in LAYOUTS}
    ours = plain = 0.0
    panels = _panels(Random(seed), per_layout)
    pages = [render_html(panel, panel["layout"], panel["style"]) for panel in panels]
    for panel, photo in zip(panels, shoot(pages), strict=True):
        start = time.perf_counter()
        read = panel_to_json(read_panel(photo).panel)
        ours += time.perf_counter() - start
        plain += _plain_seconds(photo)
        by_layout[panel["layout"]] += counts(list(judge(panel, read)))
    total = sum(by_layout.values(), Counter())
    lines = [_line(layout, count) for layout, count in by_layout.items()] + [_line("all", total)]
    ratio = ours / plain
    head = f"{'layout':14} fields  right  check missing silent   core"
    foot = f"{ours / len(panels):.2f} s a label, {ratio:.1f} times a plain pass (bar: {RATIO_BAR})"
    kept = total["right"] >= RIGHT_BAR * total["printed"] and not total["silent"] and ratio <= RATIO_BAR
    return "\n".join([head, *lines, foot]), kept


def _panels(rng: Random, per_layout: int) -> list[dict[str, Any]]:
    made = []
    for layout in LAYOUTS:
        for _ in range(per_layout):
            panel = lawful_panel(rng, layout)
            size = {"px_per_pt": round(rng.uniform(_SMALLEST, _LARGEST), 2)}
            colour = rng.choice(_DARK) if rng.random() < 0.3 else {}
            panel["style"] = random_style(rng, layout) | size | colour
            made.append(panel)
    return made


def _plain_seconds(photo: bytes) -> float:
    with tempfile.TemporaryDirectory() as folder:
        picture = Path(folder) / "label.png"
        picture.write_bytes(photo)
        start = time.perf_counter()
        command = ["tesseract", str(picture), "-", "-l", "eng+spa"]
        subprocess.run(
            command, check=True, capture_output=True, env={"OMP_THREAD_LIMIT": "1", "PATH": "/usr/bin"}
        )
        return time.perf_counter() - start


def _line(name: str, count: Counter[str]) -> str:
    shares = [100 * count[kind] / max(1, count["printed"]) for kind in ("right", "check", "missing")]
    core = 100 * count["core_exact"] / max(1, count["core"])
    right, check, missing = (f"{share:5.1f} %" for share in shares)
    return f"{name:14} {count['printed']:6} {right} {check} {missing} {count['silent']:6} {core:5.1f} %"


if __name__ == "__main__":
    table, within = measure(*map(int, sys.argv[1:3]))
    sys.stdout.write(f"{table}\n{'ok' if within else 'MISSED'}\n")
    sys.exit(0 if within else 1)
