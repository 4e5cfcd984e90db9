"""The letters that the recogniser knows: those of the table that the package reads its answers with."""

from __future__ import annotations

import json
from pathlib import Path

HERE = Path(__file__).resolve().parent
MODELS = HERE.parent.parent / "shelfcheck" / "reading" / "models"
CHARS: str = json.loads((MODELS / "strips.json").read_text(encoding="utf-8"))["letters"]
