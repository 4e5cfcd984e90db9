"""What anyone could have today: a general recogniser over the whole photograph, then plain expressions.

They say what they find, and have no notion of doubt: every value is sure.
"""

from __future__ import annotations

import io
import re
import subprocess
import unicodedata
from functools import cache
from importlib.util import find_spec
from typing import Any

import numpy as np
from PIL import Image, ImageOps

_NAMES = {
    "saturated_fat": r"sat(?:urated|\.)? ?fat|grasa saturada",
    "trans_fat": r"trans ?fat|grasa trans",
    "fat": r"total fat|grasa total",
    "cholesterol": r"cholest\w*\.?|colesterol",
    "sodium": r"sodium|sodio",
    "carbohydrate": r"total carb\w*\.?|carbohidratos? total(?:es)?",
    "fiber": r"(?:dietary )?fiber|fibra(?: diet\w+)?",
    "total_sugars": r"(?:total )?sugars|az\w+cares totales",
    "protein": r"prote\w+",
    "vitamin_d": r"vit(?:amin|amina|\.)? d",
    "calcium": r"calci(?:um|o)",
    "iron": r"iron|hierro",
    "potassium": r"potas(?:sium|io|\.)",
}
_UNITS = {"vitamin_d": "mcg"} | dict.fromkeys(("cholesterol", "sodium", "calcium", "iron", "potassium"), "mg")
_LESS = r"(?P<less><|less than|menos de)?\s*"
_AMOUNT = r"(?P<value>[\dO][\d.,]*)\s*{unit}\b"
_ADDED = re.compile(
    rf"incl\w*\.?\s*{_LESS}{_AMOUNT.format(unit='g')}|added sugars\s+(?P<after>[\d.]+)\s*g", re.IGNORECASE
)
_CALORIES = re.compile(
    r"calor(?:ies|[ií]as)(?:/calor\w+)?(?: per serving)?\W*?\b(\d[\d,]*)\b(?![\d,]* ?(?:calor|mg|g\b))",
    re.IGNORECASE,
)
_COUNT = (
    re.compile(r"([\d.]+) (?:servings?|raci\w+) p(?:er|or)", re.IGNORECASE),
    re.compile(r"servings(?: per container)?:?\s*(?:about )?([\d.]+)", re.IGNORECASE),
)
_SIZE = re.compile(
    r"(?:serv\w*\.? [sš]ize|por raci\w+)\W*\s*(?P<whole>\d+(?![\d/]))?\s*"
    r"(?P<part>\d\s?[/⁄]\s?\d|[½⅓⅔¼¾⅛])?\s*"
    r"(?P<unit>fl\.? oz|[a-z/]+)\.?\s*[(/]?\s*(?P<metric>[\d.]+)\s*(?P<metric_unit>g|ml)\b",
    re.IGNORECASE,
)
NO_RAPIDOCR = (
    "RapidOCR, which this compares with, is not installed. Install it: "
    ".venv/bin/pip install -c .constraints.txt -e '.[bench]'. Or leave it out: --reader shelfcheck,tesseract"
)
_GLYPHS = {"½": 1 / 2, "⅓": 1 / 3, "⅔": 2 / 3, "¼": 1 / 4, "¾": 3 / 4, "⅛": 1 / 8}


def panel_in(text: str) -> dict[str, Any]:
    """Return the JSON panel that plain expressions find in recognised lines."""
    text = unicodedata.normalize("NFC", text)
    nutrients = {}
    for key, name in _NAMES.items():
        unit = _UNITS.get(key, "g")
        found = re.search(rf"(?:{name})\W*\s{_LESS}{_AMOUNT.format(unit=unit)}", text, re.IGNORECASE)
        if found:
            nutrients[key] = {"value": _number(found["value"]), "less_than": bool(found["less"])}
    if added := _ADDED.search(text):
        nutrients["added_sugars"] = {
            "value": _number(added["value"] or added["after"]),
            "less_than": bool(added["less"]),
        }
    if calories := _CALORIES.search(text):
        nutrients["energy"] = {"value": _number(calories[1])}
    counts = [found[1] for pattern in _COUNT if (found := pattern.search(text))]
    serving = _serving(text) | ({"servings_per_container": {"value": _number(counts[0])}} if counts else {})
    return {"serving": serving, "nutrients": nutrients}


def _serving(text: str) -> dict[str, Any]:
    found = _SIZE.search(text)
    if not found or not (found["whole"] or found["part"]):
        return {}
    part = found["part"] or ""
    top, _, bottom = part.replace("⁄", "/").partition("/")
    share = _GLYPHS.get(part) or (int(top) / (int(bottom) or 1) if bottom else 0)
    return {
        "household_amount": {"value": int(found["whole"] or 0) + share},
        "household_unit": {"value": found["unit"].split("/")[0]},
        "metric_amount": {"value": _number(found["metric"])},
        "metric_unit": {"value": found["metric_unit"].lower()},
    }


def _number(text: str) -> float | None:
    plain = text.replace("O", "0").replace(",", "").rstrip(".")
    return float(plain) if re.fullmatch(r"\d+(?:\.\d+)?", plain) else None


def upright(photo: bytes) -> Image.Image:
    """Return the photograph as its EXIF orientation says."""
    with Image.open(io.BytesIO(photo)) as stored:
        return ImageOps.exif_transpose(stored).convert("RGB")


def tesseract(photo: bytes) -> dict[str, Any]:
    """Read a photograph with one pass of Tesseract over the whole of it."""
    out = io.BytesIO()
    upright(photo).save(out, "BMP")
    done = subprocess.run(
        ["tesseract", "-", "-"], input=out.getvalue(), capture_output=True, check=True, timeout=300
    )
    return panel_in(done.stdout.decode("utf-8", "replace"))


def has_rapidocr() -> bool:
    """Tell whether RapidOCR is installed; only this bench uses it."""
    return find_spec("rapidocr") is not None


@cache
def _engine() -> Any:
    from rapidocr import RapidOCR

    settings = {"Global.log_level": "critical", "EngineConfig.onnxruntime.intra_op_num_threads": 1}
    return RapidOCR(params=settings)


def rapidocr(photo: bytes) -> dict[str, Any]:
    """Read a photograph with RapidOCR's own small models, its boxes joined to rows by their height."""
    found = _engine()(np.asarray(upright(photo))[..., ::-1])
    if found.boxes is None:
        return panel_in("")
    boxes = np.asarray(found.boxes)
    middles, heights = boxes[..., 1].mean(1), np.linalg.norm(boxes[:, 3] - boxes[:, 0], axis=1)
    rows: list[list[int]] = []
    for at in np.argsort(middles):
        near = rows and abs(middles[at] - np.mean(middles[rows[-1]])) < 0.5 * heights[at]
        rows[-1].append(int(at)) if near else rows.append([int(at)])
    lines = (" ".join(found.txts[at] for at in sorted(row, key=lambda at: boxes[at, 0, 0])) for row in rows)
    return panel_in("\n".join(lines))
