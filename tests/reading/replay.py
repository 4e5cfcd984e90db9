"""What Tesseract read on the sample labels, kept so that tests need not wait.

``python -m tests.reading.replay`` reads every sample anew and stores its words. Each word is a list: text,
box, confidence, whether it descends, its segment, and what the second look read.
"""

from __future__ import annotations

import json
from pathlib import Path

from shelfcheck.panel import Panel
from shelfcheck.reading import Tesseract, read_panel
from shelfcheck.reading.candidates import find_fields
from shelfcheck.reading.page import Word
from shelfcheck.reading.reconcile import reconcile
from shelfcheck.reading.rows import Page, find_lines
from shelfcheck.reading.servings import find_serving
from tests.making import SAMPLES

WORDS = Path(__file__).parent / "words"
NAMES = sorted(path.stem for path in SAMPLES.glob("*.png"))


def stored_words(name: str) -> list[Word]:
    """Return the words that were read on a sample."""
    rows = json.loads((WORDS / f"{name}.json").read_text(encoding="utf-8"))
    return [Word(text, tuple(box), *rest) for text, box, *rest in rows]


def stored_page(name: str) -> Page:
    """Return a sample's lines."""
    return find_lines(stored_words(name))


def panel_of(words: list[Word]) -> Panel:
    """Return the panel that words make, boxes left on the panel picture."""
    page = find_lines(words)
    return reconcile(find_fields(page), find_serving(page))


def store(name: str) -> None:
    """Read a sample and keep its words."""
    words = read_panel((SAMPLES / f"{name}.png").read_bytes(), engine=Tesseract()).leaf.words
    rows = [[w.text, w.box, round(w.confidence, 2), w.descends, w.segment, w.also] for w in words]
    lines = ",\n".join(json.dumps(row, ensure_ascii=False) for row in rows)
    (WORDS / f"{name}.json").write_text(f"[\n{lines}\n]\n", encoding="utf-8")


if __name__ == "__main__":
    for sample_name in NAMES:
        store(sample_name)
