"""The project's facts as JSON, the source beside each value, read once and kept."""

from __future__ import annotations

import json
import os.path
from functools import cache
from typing import Any

FOLDER = os.path.dirname(__file__)  # noqa: PTH120 - pathlib would cost a tenth of the start


@cache
def load(name: str) -> Any:
    """Return the parsed content of ``name``, such as ``"foods.json"``, in this folder.

    Callers share one object and must not change it.
    """
    with open(os.path.join(FOLDER, name), encoding="utf-8") as file:  # noqa: PTH118, PTH123 - as above
        return json.load(file)
